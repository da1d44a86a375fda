package serial

import (
	"fmt"
	"strings"
)

// Adapter is a serial port of this machine, and what its USB ids say of it.
type Adapter struct {
	Port            string // what to open: "/dev/ttyUSB0", "COM3"
	USB             bool   // it has USB ids; a port of the machine's own board has none
	Vendor, Product uint16 // USB ids
	Serial          string // USB serial number, cleaned; many cheap adapters have none
	Maker, Text     string // what the adapter calls its maker and itself, cleaned
	Driver          string // the kernel's driver, where that can be told
	Socket          string // where it is plugged in, and which of its ports this is, where that can be told: "1-1.2:1.0"
	Interface       int    // which of the ports of one adapter, from 0
	Means           Means  // what all this says
}

// Means is what the ids and the driver of a port say of what stands behind it.
type Means uint8

// What ports mean. None is certain before the port is asked, see [Probe]: plain chips drive lines and
// stand in front of widgets alike.
const (
	MeansUnknown Means = iota // nothing is known; only the user can say
	MeansLine                 // a chip found in plain lines, with the break timed by this machine
	MeansEither               // a chip found in plain lines and in widgets
	MeansModem                // a modem
	MeansConsole              // where this system's console is
	MeansBoard                // a port of the machine's own board
)

// String says it in words.
func (m Means) String() string {
	switch m {
	case MeansLine:
		return "a chip of plain lines"
	case MeansEither:
		return "a chip of plain lines and of widgets"
	case MeansModem:
		return "a modem"
	case MeansConsole:
		return "this system's console"
	case MeansBoard:
		return "a port of this machine's own board"
	}
	return "ids that are not known here"
}

// usable says that a port may be taken without being named, and asked what it is.
func (m Means) usable() bool { return m == MeansLine || m == MeansEither }

// IDs are the USB ids as they are usually written: "0403:6001".
func (a Adapter) IDs() string { return fmt.Sprintf("%04x:%04x", a.Vendor, a.Product) }

// String is the adapter in a line: its port, what it calls itself, its ids and its serial number.
func (a Adapter) String() string {
	parts := []string{a.Port}
	if a.Text != "" {
		parts = append(parts, fmt.Sprintf("%q", a.Text))
	}
	if a.USB {
		parts = append(parts, a.IDs())
	}
	if a.Serial != "" {
		parts = append(parts, "serial number "+a.Serial)
	}
	return strings.Join(parts, ", ")
}

// same says that two ports are one port of one adapter, seen twice, wherever it was plugged in between.
// Adapters without a serial number are told apart by where they are plugged in.
func (a Adapter) same(b Adapter) bool {
	switch {
	case a.USB != b.USB:
		return false
	case !a.USB:
		return a.Port == b.Port
	case a.Vendor != b.Vendor || a.Product != b.Product || a.Serial != b.Serial || a.Interface != b.Interface:
		return false
	case a.Serial != "":
		return true
	case a.Socket != "" || b.Socket != "":
		return a.Socket == b.Socket
	}
	return a.Port == b.Port
}

// alike says that two ports may be one adapter: it is of one make, and nothing tells two apart.
func (a Adapter) alike(b Adapter) bool {
	return a.USB && b.USB && a.Vendor == b.Vendor && a.Product == b.Product && a.Serial == b.Serial && a.Interface == b.Interface
}
