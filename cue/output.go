package cue

import (
	"time"

	"limn/fixtures"
)

// Kinds of output.
const (
	ArtNet    = "artnet"
	SACN      = "sacn"
	USB       = "usb" // the kind of adapter is to be detected
	USBRaw    = "usb raw"
	USBWidget = "usb widget"
)

// OutputKinds lists the kinds of output.
func OutputKinds() []string { return []string{ArtNet, SACN, USB, USBRaw, USBWidget} }

// What an output does when the program ends.
const (
	Leave   = "leave"
	FadeOut = "fade"
	GoDark  = "dark"
)

// How the nodes of an Art-Net output are told to show a frame together.
const (
	SyncBroadcast = "broadcast" // one message to the whole network, as the standard has it
	SyncUnicast   = "unicast"   // one to each node
)

// What an output may be asked for.
const (
	MaxRate       = 44                     // frames a second: a full DMX512-A line carries no more (ANSI E1.11)
	MaxPriority   = 200                    // of sACN (ANSI E1.31, 6.2.3)
	UsualPriority = 100                    // of sACN, where none is written (ANSI E1.31, 6.2.3)
	MinKeepAlive  = 100 * time.Millisecond // more often is no better for any receiver
	MaxKeepAlive  = time.Second            // DMX512-A lines are to be refreshed once a second (ANSI E1.11)
)

// Output is one way out of the computer, as the file gives it. Several may carry
// the same universe.
type Output struct {
	fixtures.Origin
	Name string
	Kind string // one of OutputKinds
	// To is where it goes: host[:port] for a network; the port, the USB serial number or the USB ids of
	// an adapter. Empty for discovery, for sACN = multicast, for usb = the only known adapter.
	To        []string
	Universes []int  // ours, ascending, each once
	Offset    int    // wire number = ours + Offset
	OnExit    string // leave, fade or dark

	Rate      int           // frames a second at most; 0 = as many as there are
	KeepAlive time.Duration // after which an unchanged frame is sent again; 0 = the usual 0.8 s

	// Interface is the name or own address of the network to discover on, or that multicast leaves by;
	// empty = the only one there is.
	Interface string

	// Art-Net alone.
	Discover  bool     // to = "discover": to whatever nodes answer with the right Port-Address
	Poll      []string // addresses that discovery asks one by one, where no broadcast reaches
	Port      int      // UDP port of the nodes that discovery asks; 0 = the standard's
	Sync      string   // "", SyncBroadcast or SyncUnicast
	Broadcast bool     // To may name a network's broadcast address

	// sACN alone.
	IP4, IP6     bool // multicast by either; neither and no To = IP4
	Priority     int  // 0..MaxPriority
	Source       string
	SyncUniverse int // synchronization address; 0 = none
	Hops         int // routers that multicast may pass, plus one; 0 = it stays on its network

	LowRTS bool // plain lines whose transmitter is switched on by a low RTS
}

// Multicast says that an sACN output sends to groups.
func (o *Output) Multicast() bool {
	return o.Kind == SACN && (o.IP4 || o.IP6 || len(o.To) == 0)
}

// TimeCode is time code for machines that follow the show, sent by Art-Net.
type TimeCode struct {
	fixtures.Origin
	To     string // host[:port], or a network's broadcast address; empty = none is sent
	Rate   string // one of TimeCodeRates
	Stream int    // 0 = the master
}

// TimeCodeRates lists the frame rates of time code, the usual one first.
func TimeCodeRates() []string { return []string{"25", "24", "29.97", "30"} }
