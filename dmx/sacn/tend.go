package sacn

import (
	"context"
	"time"
)

// tend looks after the output between the calls of Send, until ctx ends: keep-alive, universe discovery,
// links that are behind, and the interface that multicast leaves by.
func (o *Output) tend(ctx context.Context) {
	ticker := time.NewTicker(tick)
	defer ticker.Stop()
	looked := o.now()
	for {
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
		if now := o.now(); o.cfg.Groups != 0 && now-looked >= lookAtInterface {
			looked = now
			o.lookAtInterface()
		}
		o.sending.Lock()
		if !o.closed {
			_ = o.deliver(tending) // Status tells
		}
		o.sending.Unlock()
	}
}

// lookAtInterface notices an interface that is gone or back, and a cable that is out, of which no send tells.
func (o *Output) lookAtInterface() {
	for _, l := range o.links {
		if l.groups == 0 {
			continue
		}
		by, err := o.look(l.groups == Groups4) // takes its time, so without the lock
		o.sending.Lock()
		if !o.closed {
			before, name := l.told(), l.name()
			if l.see(by, err, o.now()); l.told() != before || l.name() != name {
				o.tell()
			}
		}
		o.sending.Unlock()
	}
}
