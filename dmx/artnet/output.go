package artnet

import (
	"errors"
	"fmt"
	"net/netip"
	"slices"
	"strings"
	"sync"
	"time"

	"golang.org/x/net/ipv4"

	"limn/dmx"
)

// Config is what an [Output] is made of.
type Config struct {
	Name      string
	To        []netip.AddrPort // one or more nodes; each gets every universe
	Universes []dmx.Universe
	Offset    int // Port-Address = universe + Offset
}

// Output is dmx.Output over ArtDmx unicast, from an ephemeral port.
type Output struct {
	name      string
	universes []dmx.Universe
	nodes     []*node
	where     string
	closed    bool

	// Parallel to universes. Each message points to its encoder's packet for good.
	encoders []*Encoder
	sequence []byte
	msgs     []ipv4.Message

	mu     sync.Mutex
	status dmx.Status
}

var _ dmx.Output = (*Output)(nil)

// NewOutput checks the config. A node that cannot be reached is no error:
// Status says so, and sending tries again.
func NewOutput(cfg Config) (*Output, error) { return newOutput(cfg, dial) }

func newOutput(cfg Config, dial func(netip.AddrPort) (socket, error)) (*Output, error) {
	if len(cfg.Universes) == 0 {
		return nil, errors.New("no universes to send; list at least one")
	}
	if len(cfg.To) == 0 {
		return nil, errors.New("no node to send to; name at least one address")
	}
	o := &Output{name: cfg.Name, universes: slices.Clone(cfg.Universes), sequence: make([]byte, len(cfg.Universes))}
	for i, u := range cfg.Universes {
		if slices.Contains(cfg.Universes[:i], u) {
			return nil, fmt.Errorf("universe %d is listed twice; once is enough", u)
		}
		address, err := PortAddress(u, cfg.Offset)
		if err != nil {
			return nil, err
		}
		e, err := NewEncoder(address, 0)
		if err != nil {
			return nil, err
		}
		o.encoders = append(o.encoders, e)
		o.msgs = append(o.msgs, ipv4.Message{Buffers: [][]byte{e.packet}})
	}
	now := time.Now()
	for _, to := range cfg.To {
		to = netip.AddrPortFrom(to.Addr().Unmap(), to.Port())
		if err := destination(to); err != nil {
			return nil, err
		}
		if slices.ContainsFunc(o.nodes, func(n *node) bool { return n.to == to }) {
			return nil, fmt.Errorf("node %v is named twice; once is enough", to)
		}
		o.nodes = append(o.nodes, &node{to: to, dial: dial})
	}
	places := make([]string, len(o.nodes))
	for i, n := range o.nodes {
		places[i] = n.to.String()
		_ = n.open(now) // Status tells
	}
	o.where = strings.Join(places, ", ")
	o.tell()
	return o, nil
}

// destination says what is wrong with an address to send to.
func destination(to netip.AddrPort) error {
	a := to.Addr()
	switch {
	case !a.Is4():
		return fmt.Errorf("node %v is not an IPv4 address; Art-Net knows no other", to)
	case a.IsUnspecified():
		return fmt.Errorf("node %v is no address; write the node's own", to)
	case a.IsMulticast(), a == netip.AddrFrom4([4]byte{255, 255, 255, 255}):
		return fmt.Errorf("node %v means many; ArtDmx goes to single nodes, so list their addresses", to)
	case to.Port() == 0:
		return fmt.Errorf("node %v has no port; the usual one is %d", a, Port)
	}
	return nil
}

// Name is the name given in the config.
func (o *Output) Name() string { return o.name }

// Universes are those given in the config.
func (o *Output) Universes() []dmx.Universe { return o.universes }

// Send sends each universe to each node. It allocates nothing as long as all goes well.
func (o *Output) Send(frames []dmx.Frame) error {
	if o.closed {
		return dmx.ErrClosed
	}
	for i, e := range o.encoders {
		o.sequence[i] = nextSequence(o.sequence[i])
		e.Encode(o.sequence[i], frames[i][:])
	}
	now := time.Now()
	var first error
	news := false
	for _, n := range o.nodes {
		before := n.words
		if err := n.send(o.msgs, now); err != nil && first == nil {
			first = err
		}
		news = news || n.words != before
	}
	if news {
		o.tell()
	}
	return first
}

// tell puts the nodes' trouble into the status.
func (o *Output) tell() {
	s := dmx.Status{Up: true, Where: o.where}
	for _, n := range o.nodes {
		if n.words == "" {
			continue
		}
		if s.Text != "" {
			s.Text += "; "
		}
		if len(o.nodes) > 1 {
			s.Text += n.to.String() + ": "
		}
		s.Text += n.words
		s.Up = false
	}
	o.set(s)
}

func (o *Output) set(s dmx.Status) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.status = s
}

// Status is up when every node is, as far as is known.
func (o *Output) Status() dmx.Status {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.status
}

// Close closes the sockets.
func (o *Output) Close() error {
	if o.closed {
		return nil
	}
	o.closed = true
	var errs []error
	for _, n := range o.nodes {
		errs = append(errs, n.close())
	}
	o.set(dmx.Status{Where: o.where, Text: dmx.ErrClosed.Error()})
	return errors.Join(errs...)
}
