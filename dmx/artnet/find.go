package artnet

import (
	"context"
	"time"
)

// FindWait is how long [Find] waits when it is not told: the answers to two polls, each of which a device
// may delay by a second.
const FindWait = pollEvery + maxDelay + 250*time.Millisecond

// Find asks the network once and for all: it polls for the given time (FindWait when 0), and gives the
// devices that answered, by address and part. When ctx ends first, it gives those that have answered so far, and
// the context's error.
func Find(ctx context.Context, cfg DiscoveryConfig, wait time.Duration) ([]Node, error) {
	if wait == 0 {
		wait = FindWait
	}
	d, err := Discover(cfg)
	if err != nil {
		return nil, err
	}
	defer d.Close()
	timer := time.NewTimer(wait)
	defer timer.Stop()
	select {
	case <-timer.C:
	case <-ctx.Done():
		err = ctx.Err()
	}
	nodes := d.Nodes()
	if s := d.Status(); err == nil && len(nodes) == 0 && !s.Up {
		d.mu.Lock()
		err = d.down
		d.mu.Unlock()
	}
	return nodes, err
}
