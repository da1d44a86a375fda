package artnet

import (
	"context"
	"time"
)

// A pulled cable does not show in sending: the system takes datagrams for a network that has just gone and drops them. So an output
// looks at the networks themselves.

const cutWords = "no network leads there; plug the cable in, and give this computer an address in the node's network"

// watchNetworks tells of destinations whose network goes, and brings their light back when it returns, until ctx ends.
func (o *Output) watchNetworks(ctx context.Context) {
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		if networks, err := o.cfg.networks(); err == nil {
			o.lookAt(networks)
		}
	}
}

// lookAt takes the networks there are.
func (o *Output) lookAt(networks []Network) {
	o.sending.Lock()
	defer o.sending.Unlock()
	if o.closed {
		return
	}
	back, news := false, false
	for _, d := range o.dests {
		if d.gone || !d.to.IsValid() {
			continue
		}
		before := d.cut
		_, on := networkOf(d.to.Addr(), networks)
		switch {
		case on && d.cut:
			// A new socket, for our own address may be another.
			d.close()
			d.retryAt, d.trouble, d.cut = 0, saying{}, false
			d.lose()
			back = true
		case !on && d.local:
			d.cut = true
		}
		d.local = d.local || on
		news = news || d.cut != before
	}
	if !news {
		return
	}
	o.place(networks)
	if back && o.live {
		_ = o.deliver(arrive) // Status tells
	}
	o.tell()
}

// watchful says that some destination may be beyond loopback, which needs no cable.
func (o *Output) watchful() bool {
	if o.subscribe {
		return true
	}
	for _, d := range o.dests {
		if !d.to.IsValid() || !d.to.Addr().IsLoopback() {
			return true
		}
	}
	return false
}
