package serial

import (
	"time"

	"limn/dmx"
)

// Timing of a DMX512-A packet (ANSI E1.11-2008, transmitter). The break is what
// is asked for; a host's timer makes it about a millisecond, which costs frame rate and nothing else.
const (
	slotTime       = 44 * time.Microsecond  // start bit, 8 data bits, 2 stop bits at 4 us
	breakTime      = 110 * time.Microsecond // at least 92 us
	markAfterBreak = 20 * time.Microsecond  // at least 12 us
	startCode      = 0x00                   // levels
)

// lineBytes is what follows the break: the start code and the slots.
const lineBytes = 1 + dmx.Slots

// line writes DMX512-A packets with a break timed by the host.
type line struct {
	port port
	buf  [lineBytes]byte
	idle time.Time // the last stop bit of the packet before has left by then

	now   func() time.Time
	sleep func(time.Duration)
	spin  func(time.Duration) // shorter than a sleep can be
}

func newLine(p port) *line {
	return &line{port: p, now: time.Now, sleep: time.Sleep, spin: spin}
}

// send writes one packet and returns when the driver has it all. The next break
// waits until the slots are really out: a break acts at once, and in the middle of
// queued slots it would cut them short. A drain alone does not tell, since some
// drivers call a packet drained when the adapter has it.
func (l *line) send(f *dmx.Frame) error {
	if wait := l.idle.Sub(l.now()); wait > 0 {
		l.sleep(wait)
	}
	if err := l.port.Break(breakTime); err != nil {
		return &breakError{err}
	}
	l.spin(markAfterBreak)
	l.buf[0] = startCode
	copy(l.buf[1:], f[:])
	start := l.now()
	if err := writeAll(l.port, l.buf[:]); err != nil {
		return err
	}
	if err := l.port.Drain(); err != nil {
		return err
	}
	l.idle = start.Add(lineBytes * slotTime)
	return nil
}

// maxSpins bounds a spin whatever the clock does: a clock that is stepped, or that
// a test holds still, must not hold up the line. It is some 400 us.
const maxSpins = 10_000

// spin waits for less than the scheduler can sleep.
func spin(d time.Duration) {
	start := time.Now()
	for n := 0; n < maxSpins && time.Since(start) < d; n++ {
	}
}

// writeAll writes all of b. A port may take less without an error; when it takes
// nothing twice in a row, its hardware has left.
func writeAll(p port, b []byte) error {
	idle := 0
	for len(b) > 0 {
		n, err := p.Write(b)
		if err != nil {
			return err
		}
		b = b[n:]
		if n > 0 {
			idle = 0
		} else if idle++; idle == 2 {
			return errShort
		}
	}
	return nil
}
