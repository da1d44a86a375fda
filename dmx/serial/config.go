package serial

import (
	"fmt"
	"strings"

	"limn/dmx"
)

// Kind of adapter.
type Kind uint8

// The kinds of adapter.
const (
	Raw    Kind = iota // plain line: break timed by the host, 250000 baud 8N2
	Widget             // packets framed for a widget that times the line itself
	Auto               // one of the two: the adapter is asked
)

// String is the word of rig.toml.
func (k Kind) String() string {
	switch k {
	case Raw:
		return "usb raw"
	case Widget:
		return "usb widget"
	case Auto:
		return "usb"
	}
	return fmt.Sprintf("Kind(%d)", uint8(k))
}

// Config says which adapter carries which universe.
type Config struct {
	Name string
	Kind Kind
	// Port names the adapter: by its port ("/dev/ttyUSB0", "COM3"), by its USB serial number, or by its USB ids
	// ("0403:6001"). It may be left out where Kind is Auto: then it is the only one plugged in whose ids are known.
	Port     string
	Universe dmx.Universe
	// LowRTS holds the request-to-send line of a plain line low. It is high otherwise, as drivers have it; home-made adapters
	// whose transmitter is enabled by a low one need it.
	LowRTS bool
	// List gives the ports of the machine; nil is Find.
	List Lister
}

func (c *Config) check() error {
	switch {
	case c.Kind != Raw && c.Kind != Widget && c.Kind != Auto:
		return fmt.Errorf("output %q: %v is no kind of adapter", c.Name, c.Kind)
	case strings.TrimSpace(c.Port) == "" && c.Kind != Auto:
		return fmt.Errorf(`output %q names no port; write to = "/dev/ttyUSB0" or as your system calls it`, c.Name)
	case strings.ContainsRune(c.Port, 0):
		return fmt.Errorf("output %q: the port's name holds a NUL byte", c.Name)
	case c.Universe < 1 || c.Universe > dmx.MaxUniverse:
		return fmt.Errorf("output %q: universe %d is not in 1..%d", c.Name, c.Universe, dmx.MaxUniverse)
	}
	return nil
}
