package artnet

import (
	"fmt"
	"net/netip"
	"strings"
	"time"
)

// Node is what is known of a device, or of one part of it: a device with more than four ports, and many with fewer,
// answers once for each part. Its texts are fit to be shown.
type Node struct {
	Addr      netip.Addr // where its answers come from
	BindIndex byte       // which part; 1 is the root
	Name      string     // at most 17 characters
	LongName  string
	Report    string // its state in its own words: "#0001 [0007] ok"
	Style     Style
	Firmware  uint16
	Oem, Esta uint16 // kind and maker, as registered
	MAC       [6]byte
	Failsafe  Failsafe
	// LongAddresses: the device knows Port-Addresses of 15 bits; else of 8.
	LongAddresses bool
	Web, DHCP     bool   // it has pages of its own to set it up; its address comes from a DHCP server
	RDM           bool   // it can talk RDM
	Refresh       uint16 // Hz; 0: not said
	Ports         []NodePort
	Presence      Presence
	First, Heard  time.Duration // its first and last answer, since discovery began
	// Diagnostics are its last words, oldest first.
	Diagnostics []DiagData
}

// NodePort is one input or output of a node.
type NodePort struct {
	Index       int // 0..3 within the node
	Output      bool
	PortAddress uint16
	// Active: an output puts out data, an input gets some.
	Active bool
	// Merging: two senders feed the output, which mixes them by LTP, or else the higher value wins.
	Merging, LTP bool
	Shorted      bool
	SACN         bool // set to sACN: it does not show Art-Net
}

// Failsafe is what a node shows when its data stop.
type Failsafe byte

// The failsafe states of the standard. They mean something only for a node that sends the present, long form of its answer.
const (
	FailsafeHold  Failsafe = 0
	FailsafeZero  Failsafe = 1
	FailsafeFull  Failsafe = 2
	FailsafeScene Failsafe = 3
)

// String says it in words.
func (f Failsafe) String() string { return [...]string{"hold", "dark", "full", "scene"}[f&3] }

// Presence says whether a node is there.
type Presence byte

// A node is missed when its answer is overdue, and gone, so that nothing is sent there any more, when it
// has not answered for 9 s and three polls.
const (
	Present Presence = iota
	Missed
	Gone
)

// String says it in words.
func (p Presence) String() string { return [...]string{"present", "missed", "gone"}[min(p, Gone)] }

// String names the node for an operator: name, address, and the part if it is not the root.
func (n *Node) String() string {
	name := n.Name
	if name == "" {
		name = n.LongName
	}
	if n.BindIndex > 1 {
		return fmt.Sprintf("%q (%v, part %d)", name, n.Addr, n.BindIndex)
	}
	return fmt.Sprintf("%q (%v)", name, n.Addr)
}

// outputs lists the Port-Addresses the node puts out, as text.
func (n *Node) outputs() string {
	var words []string
	for _, p := range n.Ports {
		if p.Output {
			words = append(words, FormatPortAddress(p.PortAddress))
		}
	}
	if len(words) == 0 {
		return "no output"
	}
	return strings.Join(words, ", ")
}

// describe fills n from an answer, all but where it came from, when, and its diagnostics.
func (n *Node) describe(r *PollReply) {
	n.Name, n.LongName, n.Report = Text(r.ShortName[:]), Text(r.LongName[:]), Text(r.Report[:])
	n.Style, n.Firmware, n.Oem, n.Esta, n.MAC = r.Style, r.Version, r.Oem, r.Esta, r.MAC
	n.Failsafe = Failsafe(r.Status3 >> 6)
	n.LongAddresses = r.Status2&Status2LongAddr != 0
	n.Web, n.DHCP = r.Status2&Status2Web != 0, r.Status2&Status2DHCP != 0
	n.RDM = r.Status1&Status1RDM != 0
	n.Refresh = r.RefreshRate
	n.Ports = nil // the old ones may be in somebody's hands
	for i := range portsPerReply {
		if a, ok := r.Output(i); ok {
			good := r.GoodOutput[i]
			n.Ports = append(n.Ports, NodePort{
				Index: i, Output: true, PortAddress: a, Active: good&GoodOutputData != 0, Merging: good&GoodOutputMerging != 0,
				LTP: good&GoodOutputLTP != 0, Shorted: good&GoodOutputShort != 0, SACN: good&GoodOutputSACN != 0,
			})
		}
		if a, ok := r.Input(i); ok {
			n.Ports = append(n.Ports, NodePort{Index: i, PortAddress: a, Active: r.GoodInput[i]&goodInputData != 0})
		}
	}
}
