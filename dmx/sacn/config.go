package sacn

import (
	"context"
	"fmt"
	"net"
	"net/netip"
	"slices"
	"time"

	"limn/dmx"
	"limn/dmx/internal/udp"
)

// Groups says which multicast groups an output sends to.
type Groups byte

// Multicast by IP version; both together are Groups4 | Groups6.
const (
	Groups4 Groups = 1 << iota
	Groups6
)

const (
	// defaultSyncGap lies between the data of a frame and its synchronization packet, so that
	// receivers have taken the one when the other comes (ANSI E1.31-2018, 11.2.2 asks for some).
	defaultSyncGap = time.Millisecond
	// defaultSource is the source name of who gives none.
	defaultSource = "limn"
	// maxHops bounds Hops: site networks have no more routers in a row.
	maxHops = 32
)

// Config is what an [Output] is made of.
type Config struct {
	Name string // for the operator

	// To and Hosts ("host" or "host:port", looked up again and again) get every universe by unicast.
	To    []netip.AddrPort
	Hosts []string
	// Groups is multicast beside it. Without To, Hosts and Groups, it is Groups4.
	Groups Groups
	// Interface is where multicast leaves: the name of an interface or an own address of this
	// computer. Empty means the only one there is besides loopback.
	Interface string
	// Hops is how many routers multicast may pass, plus one: 0 and 1 keep it on its network.
	Hops int

	Universes []dmx.Universe
	Offset    int // number on the wire = universe + Offset, 1..63999

	// Priority is 0..200, the highest wins a receiver; nil means DefaultPriority.
	Priority *int
	Source   string // the name that others are shown; cleaned and cut to 63 bytes; empty means "limn"
	CID      CID    // see LoadCID and DeriveCID. Two outputs with one CID must not send the same universe

	// Sync, if not 0, is the synchronization address: a number on the wire, whose group gets a packet
	// after each frame. What receives it shows all universes of the frame together. Should synchronization be
	// lost, data are to be shown as they come, for light that freezes helps nobody.
	Sync uint16
	// SyncGap is how long a frame's synchronization packet waits after its data; 0 means 1 ms, less than 0 none.
	SyncGap time.Duration

	// Terminate makes Close end every universe with three packets that say so: receivers turn at once to what they
	// do without a sender, instead of 2.5 s later. For runs that end dark. See [Output.Terminate].
	Terminate bool

	port       uint16 // of multicast
	interfaces func() ([]Interface, error)
	lookUp     func(ctx context.Context, host string) ([]netip.Addr, error)
	dial       func(netip.AddrPort) (udp.Socket, error)
	multicast  func(by *net.Interface, v4 bool, hops int) (udp.Socket, error)
}

// complete fills in what is left out and checks the rest.
func (c *Config) complete() error {
	if c.port == 0 {
		c.port = Port
	}
	if c.interfaces == nil {
		c.interfaces = Interfaces
	}
	if c.lookUp == nil {
		c.lookUp = lookUp
	}
	if c.dial == nil {
		c.dial = udp.Dial
	}
	if c.multicast == nil {
		c.multicast = udp.DialMulticast
	}
	if len(c.To) == 0 && len(c.Hosts) == 0 && c.Groups == 0 {
		c.Groups = Groups4
	}
	if c.SyncGap == 0 {
		c.SyncGap = defaultSyncGap
	}
	if c.Hops == 0 {
		c.Hops = 1
	}
	if c.Source = CutName(c.Source); c.Source == "" {
		c.Source = defaultSource
	}
	return c.check()
}

func (c *Config) check() error {
	switch {
	case c.CID == (CID{}):
		return ErrNoCID
	case c.Priority != nil && (*c.Priority < 0 || *c.Priority > MaxPriority):
		return fmt.Errorf("priority %d is out of range; sACN has 0 to %d, %d is usual", *c.Priority, MaxPriority, DefaultPriority)
	case c.Sync > MaxUniverse:
		return fmt.Errorf("synchronization address %d is out of range; sACN has 1 to %d", c.Sync, MaxUniverse)
	case c.Hops < 0 || c.Hops > maxHops:
		return fmt.Errorf("%d hops are out of range; 1 keeps multicast on its network, %d is the most", c.Hops, maxHops)
	case c.Groups&^(Groups4|Groups6) != 0:
		return fmt.Errorf("there are no multicast groups %#x", byte(c.Groups))
	case c.Interface != "" && c.Groups == 0:
		return fmt.Errorf("interface %q is chosen, but nothing goes there by multicast; the way to single addresses is the system's to find", c.Interface)
	case len(c.Universes) == 0:
		return fmt.Errorf("no universes to send; list at least one")
	}
	for i, u := range c.Universes {
		if slices.Contains(c.Universes[:i], u) {
			return fmt.Errorf("universe %d is listed twice; once is enough", u)
		}
		if n := int(u) + c.Offset; n < 1 || n > MaxUniverse {
			return fmt.Errorf("universe %d with offset %d makes %d, which sACN does not have; it has 1 to %d", u, c.Offset, n, MaxUniverse)
		}
	}
	return nil
}

// wire is the number that universe i has on the wire.
func (c *Config) wire(i int) uint16 { return uint16(int(c.Universes[i]) + c.Offset) }

func (c *Config) priority() byte {
	if c.Priority == nil {
		return DefaultPriority
	}
	return byte(*c.Priority)
}

// listed are the universes that universe discovery names: all that data or synchronization go to, ascending.
func (c *Config) listed() []uint16 {
	var list []uint16
	for i := range c.Universes {
		list = append(list, c.wire(i))
	}
	if c.Sync != 0 {
		list = append(list, c.Sync)
	}
	slices.Sort(list)
	return slices.Compact(list)
}
