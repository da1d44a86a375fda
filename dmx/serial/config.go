package serial

import (
	"errors"
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
)

// String is the word of rig.toml.
func (k Kind) String() string {
	switch k {
	case Raw:
		return "usb raw"
	case Widget:
		return "usb widget"
	}
	return fmt.Sprintf("Kind(%d)", uint8(k))
}

// Config says which adapter carries which universe.
type Config struct {
	Name     string
	Kind     Kind
	Port     string // "/dev/ttyUSB0", "COM3"
	Universe dmx.Universe
}

func (c *Config) check() error {
	switch {
	case c.Kind != Raw && c.Kind != Widget:
		return fmt.Errorf("output %q: %v is no kind of adapter", c.Name, c.Kind)
	case strings.TrimSpace(c.Port) == "":
		return fmt.Errorf(`output %q names no port; write to = "/dev/ttyUSB0" or as your system calls it`, c.Name)
	case strings.ContainsRune(c.Port, 0):
		return errors.New("a port name holds a NUL byte")
	case c.Universe < 1 || c.Universe > dmx.MaxUniverse:
		return fmt.Errorf("output %q: universe %d is not in 1..%d", c.Name, c.Universe, dmx.MaxUniverse)
	}
	return nil
}
