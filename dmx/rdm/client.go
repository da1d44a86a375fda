package rdm

import (
	"context"
	"errors"
	"fmt"
	"net/netip"
	"sync"
	"sync/atomic"

	"limn/dmx/artnet"
)

// Config says which line a [Client] speaks to, and how.
type Config struct {
	Node        netip.AddrPort // whose answers are believed, from whatever port they come
	PortAddress uint16         // of the node's output; Art-Net's own number, from 0
	// Send sends one datagram to the node. It may be called from any goroutine and must not keep b.
	Send func(to netip.AddrPort, b []byte) error
	// UID is the client's own; the zero value is one for prototypes. Two controllers on one line need two.
	UID UID
}

// ownDevice is the number that a client has unless it is given one.
const ownDevice = 0x6c_69_6d_6e

// Client asks and sets the devices on one output of a node. Its methods may be called from any goroutine; questions
// take turns. Every question is bounded in time, by itself and by its context.
type Client struct {
	cfg  Config
	turn chan struct{}

	mu          sync.Mutex
	want        func(heard) bool // what is waited for; nil: nothing
	in          chan heard
	counters    Counters
	transaction atomic.Uint32
}

// Counters tell what arrived.
type Counters struct {
	Taken     uint64 // answers to what was asked
	Unasked   uint64 // for this line, and not waited for: late, twice, or somebody else's
	Malformed uint64
	Strangers uint64 // not from the node
	Dropped   uint64 // faster than they could be looked at
}

// heard is an answer of the node or of a device.
type heard struct {
	tod     *TodData
	message *Message
}

// backlog is how many answers wait to be looked at; a table of 512 devices comes in three.
const backlog = 64

// NewClient makes a client. It sends nothing before it is asked to.
func NewClient(cfg Config) (*Client, error) {
	switch {
	case !cfg.Node.IsValid():
		return nil, errors.New("rdm: no node is named")
	case cfg.PortAddress > artnet.MaxPortAddress:
		return nil, fmt.Errorf("rdm: Port-Address %d is not in 0..%d", cfg.PortAddress, artnet.MaxPortAddress)
	case cfg.Send == nil:
		return nil, errors.New("rdm: there is no way to send")
	case cfg.UID.IsBroadcast():
		return nil, fmt.Errorf("rdm: %v is the address of many", cfg.UID)
	}
	if cfg.UID == (UID{}) {
		cfg.UID = MakeUID(Prototype, ownDevice)
	}
	c := &Client{cfg: cfg, turn: make(chan struct{}, 1), in: make(chan heard, backlog)}
	c.turn <- struct{}{}
	return c, nil
}

// Counters are those so far.
func (c *Client) Counters() Counters {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.counters
}

// Hear takes a datagram that arrived on Art-Net's port, of any kind and from anybody. It never waits, and does not keep b.
func (c *Client) Hear(from netip.AddrPort, b []byte) {
	op, err := artnet.Kind(b)
	if err == nil && op != artnet.OpTodData && op != artnet.OpRdm {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if from.Addr().Unmap() != c.cfg.Node.Addr().Unmap() {
		c.counters.Strangers++
		return
	}
	if err != nil {
		c.counters.Malformed++
		return
	}
	h, mine, err := c.decode(op, b)
	switch {
	case err != nil:
		c.counters.Malformed++
	case !mine:
	case c.want == nil || !c.want(h):
		c.counters.Unasked++
	default:
		select {
		case c.in <- h:
			c.counters.Taken++
		default:
			c.counters.Dropped++
		}
	}
}

// decode reads what may be an answer; mine is false for what is of another line or for another controller.
func (c *Client) decode(op artnet.OpCode, b []byte) (h heard, mine bool, err error) {
	if op == artnet.OpTodData {
		var d TodData
		err := d.Decode(b)
		return heard{tod: &d}, d.PortAddress == c.cfg.PortAddress, err
	}
	var r Carried
	err = r.Decode(b)
	m := &r.Message
	return heard{message: m}, r.PortAddress == c.cfg.PortAddress && m.Dest == c.cfg.UID && m.Class.response(), err
}

// begin takes a turn; the caller ends it.
func (c *Client) begin(ctx context.Context) (end func(), err error) {
	select {
	case <-c.turn:
		return func() { c.turn <- struct{}{} }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// expect says what is waited for from now on, nil for nothing, and forgets what came before.
func (c *Client) expect(want func(heard) bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.want = want
	for {
		select {
		case <-c.in:
		default:
			return
		}
	}
}

func (c *Client) send(b []byte) error {
	if err := c.cfg.Send(c.cfg.Node, b); err != nil {
		return fmt.Errorf("node %v cannot be reached: %w", c.cfg.Node.Addr(), err)
	}
	return nil
}
