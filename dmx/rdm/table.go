package rdm

import (
	"context"
	"fmt"
	"slices"
	"time"

	"limn/dmx/artnet"
)

// How a node's table is asked for. Art-Net gives no times: a node that has its table answers at once, one that is
// searching its line may take seconds (common practice, no source).
const (
	tableWithin   = time.Second // for all parts of a table after a request
	tableAttempts = 4

	// MaxDevices is the most devices of one line that are told of: more than there are slots.
	MaxDevices = 512
)

// TableError says that a node's table came in part or not at all.
type TableError struct {
	Node        string
	PortAddress uint16
	Got, Total  int  // devices; Total is -1 if the node never said
	NotReady    bool // the node said that it has no table at the moment
}

// Error is in words for an operator.
func (e *TableError) Error() string {
	line := "output " + artnet.FormatPortAddress(e.PortAddress)
	switch {
	case e.NotReady:
		return fmt.Sprintf("node %s is still searching %s for RDM devices; try again in a while", e.Node, line)
	case e.Total < 0:
		return fmt.Sprintf("node %s tells no RDM devices of %s: it may not know RDM, have it switched off there, or have no such output", e.Node, line)
	case e.Total > MaxDevices:
		return fmt.Sprintf("node %s counts %d RDM devices on %s; only the first %d are looked at", e.Node, e.Total, line, e.Got)
	}
	return fmt.Sprintf("node %s counts %d RDM devices on %s, but names %d of them", e.Node, e.Total, line, e.Got)
}

// Devices asks the node for its table, sorted. With a [TableError] the devices that were told come too.
func (c *Client) Devices(ctx context.Context) ([]UID, error) {
	end, err := c.begin(ctx)
	if err != nil {
		return nil, err
	}
	defer end()
	c.expect(func(h heard) bool { return h.tod != nil })
	defer c.expect(nil)

	request := (&TodRequest{Net: byte(c.cfg.PortAddress >> 8), Addresses: []byte{byte(c.cfg.PortAddress)}}).AppendTo(nil)
	t := table{total: -1, has: make(map[UID]bool)}
	limit := time.NewTimer(0)
	defer limit.Stop()
	for range tableAttempts {
		if err := c.send(request); err != nil {
			return nil, err
		}
		limit.Reset(tableWithin)
		for waiting := true; waiting && !t.complete(); {
			select {
			case h := <-c.in:
				t.add(h.tod)
			case <-limit.C:
				waiting = false
			case <-ctx.Done():
				return nil, ctx.Err()
			}
		}
		if t.complete() {
			break
		}
	}
	uids := t.sorted()
	if t.total == len(uids) {
		return uids, nil
	}
	return uids, &TableError{c.cfg.Node.Addr().String(), c.cfg.PortAddress, len(uids), t.total, t.busy}
}

// table is what a node told so far.
type table struct {
	total int // -1: nothing
	has   map[UID]bool
	busy  bool // and nothing else was said
}

func (t *table) add(d *TodData) {
	if d.NotReady {
		t.busy = t.total < 0
		return
	}
	t.busy = false
	if t.total >= 0 && d.Total != t.total {
		clear(t.has) // the table has changed: what it had may be gone
	}
	t.total = d.Total
	for _, u := range d.UIDs {
		if len(t.has) < MaxDevices {
			t.has[u] = true
		}
	}
}

func (t *table) complete() bool { return t.total >= 0 && len(t.has) >= min(t.total, MaxDevices) }

func (t *table) sorted() []UID {
	uids := make([]UID, 0, len(t.has))
	for u := range t.has {
		uids = append(uids, u)
	}
	slices.SortFunc(uids, func(a, b UID) int { return slices.Compare(a[:], b[:]) })
	return uids
}

// SearchAgain makes the node forget its table and search the line anew, which takes seconds and disturbs the levels on
// it. The table is asked for afterwards as ever.
func (c *Client) SearchAgain(ctx context.Context) error {
	end, err := c.begin(ctx)
	if err != nil {
		return err
	}
	defer end()
	return c.send((&TodControl{PortAddress: c.cfg.PortAddress, Flush: true}).AppendTo(nil))
}
