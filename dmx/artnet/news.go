package artnet

import (
	"slices"
	"time"
)

type follower struct {
	call func(*view)
}

// pass hands on what is new. It says when it wants to be called again.
func (d *Discovery) pass(now time.Duration) (next time.Duration) {
	d.mu.Lock()
	if d.dirty && now < d.passed+gatherFor {
		next = d.passed + gatherFor
		d.mu.Unlock()
		return next
	}
	var v *view
	if d.dirty {
		d.dirty = false
		d.passed = now
		v = d.table.view()
	}
	followers := d.followers
	d.mu.Unlock()
	if v != nil {
		for _, f := range followers {
			f.call(v)
		}
	}
	return now + lookEvery
}

// report tells of events. It has a goroutine of its own: a listener that takes long must not hold up the light.
func (d *Discovery) report() {
	for {
		select {
		case <-d.stop:
			return
		case <-d.bell:
		}
		d.mu.Lock()
		events := d.events
		d.events = nil
		d.mu.Unlock()
		for _, e := range events {
			d.cfg.OnEvent(e)
		}
	}
}

// tell keeps an event for whoever listens. The caller holds the lock.
func (d *Discovery) tell(e Event) {
	if d.cfg.OnEvent == nil || len(d.events) >= maxEvents {
		return
	}
	d.events = append(d.events, e)
	select {
	case d.bell <- struct{}{}:
	default: // rung already
	}
}

// follow calls with the nodes now, and again whenever they change, until the returned function is called.
func (d *Discovery) follow(call func(*view)) (leave func()) {
	f := &follower{call: call}
	d.mu.Lock()
	v := d.table.view()
	d.followers = append(slices.Clip(d.followers), f)
	d.mu.Unlock()
	call(v)
	return func() {
		d.mu.Lock()
		defer d.mu.Unlock()
		d.followers = slices.DeleteFunc(slices.Clone(d.followers), func(g *follower) bool { return g == f })
	}
}
