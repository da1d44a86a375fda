package serial

import (
	"fmt"
	"time"

	goserial "go.bug.st/serial"
)

// port is what the two protocols need of a serial line. Write may take fewer
// bytes than it was given without an error.
type port interface {
	Write(p []byte) (int, error)
	Read(p []byte) (int, error) // 0, nil when the read time-out has passed
	SetReadTimeout(d time.Duration) error
	Break(d time.Duration) error
	Drain() error
	Close() error
}

// requester is a port with a request-to-send line.
type requester interface{ SetRTS(high bool) error }

// opener opens the port of a path for a kind of adapter.
type opener func(path string, kind Kind) (port, error)

// lineSpeed is that of DMX512-A in bit/s; E1.11 allows 2 % either way.
const (
	lineSpeed    = 250_000
	lineSpeedMin = 245_000
	lineSpeedMax = 255_000
)

// widgetSpeed is a dummy: a widget's USB side has no bit rate.
const widgetSpeed = 57_600

// openPort opens a real port. InitialStatusBits stays nil: adapters without
// modem lines, and pseudo-terminals, refuse to open with it. An Auto port is opened
// as a line; one that cannot run at a line's speed comes as an offSpeed.
func openPort(path string, kind Kind) (port, error) {
	if kind == Widget {
		return goserial.Open(path, &goserial.Mode{BaudRate: widgetSpeed, DataBits: 8, Parity: goserial.NoParity, StopBits: goserial.OneStopBit})
	}
	// Before the library opens the port for itself alone.
	speed, done := speedReader(path)
	defer done()
	p, err := goserial.Open(path, &goserial.Mode{BaudRate: lineSpeed, DataBits: 8, Parity: goserial.NoParity, StopBits: goserial.TwoStopBits})
	if err != nil {
		return nil, err
	}
	// A driver that cannot run at 250000 bit/s keeps the speed it chose instead.
	got, ok := speed()
	if !ok || got >= lineSpeedMin && got <= lineSpeedMax {
		return p, nil
	}
	if kind == Auto {
		return &offSpeed{p, got}, nil
	}
	_ = p.Close() // nothing was written
	return nil, &speedError{got}
}

// speedError says that an adapter cannot run at the speed of DMX512-A.
type speedError struct{ got int }

func (e *speedError) Error() string {
	return fmt.Sprintf("it runs at %d bit/s and cannot do the %d of DMX512; use another adapter, or \"usb widget\" if it frames packets itself", e.got, lineSpeed)
}
