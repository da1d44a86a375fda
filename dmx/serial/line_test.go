package serial

import (
	"errors"
	"fmt"
	"slices"
	"syscall"
	"testing"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
)

// bench is a fake port and the clock of the line on it: it writes down what
// happens and when.
type bench struct {
	at     time.Duration // since the start
	log    []string
	bytes  []byte
	takes  []int // how much each Write takes; all when it runs out
	drain  time.Duration
	err    error // of the next call
	breaks int
}

var epoch = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)

func (b *bench) note(what string) { b.log = append(b.log, fmt.Sprintf("%v %s", b.at, what)) }

func (b *bench) fail() error {
	err := b.err
	b.err = nil
	return err
}

func (b *bench) Write(p []byte) (int, error) {
	n := len(p)
	if len(b.takes) > 0 {
		n, b.takes = min(n, b.takes[0]), b.takes[1:]
	}
	b.note(fmt.Sprintf("write %d", n))
	b.bytes = append(b.bytes, p[:n]...)
	return n, b.fail()
}

func (b *bench) Break(d time.Duration) error {
	b.note(fmt.Sprintf("break %v", d))
	b.at += d
	b.breaks++
	return b.fail()
}

func (b *bench) Drain() error {
	b.at += b.drain
	b.note("drained")
	return b.fail()
}

func (b *bench) Read([]byte) (int, error)           { return 0, nil }
func (b *bench) SetReadTimeout(time.Duration) error { return nil }
func (b *bench) Close() error                       { b.note("close"); return nil }

func (b *bench) line() *line {
	l := newLine(b)
	l.now = func() time.Time { return epoch.Add(b.at) }
	l.sleep = func(d time.Duration) { b.at += d }
	l.spin = func(d time.Duration) { b.at += d }
	return l
}

// The order and the times on the line, ANSI E1.11-2008: break of at least 92 us,
// mark of at least 12 us, then 44 us a slot; the next break not before the last
// slot is out, whatever the driver says of it.
func TestOrderAndSpacing(t *testing.T) {
	for name, c := range map[string]struct {
		drain time.Duration
		want  []string
	}{
		"a driver that calls a packet drained at once": {0, []string{
			"0s break 110µs", "130µs write 513", "130µs drained",
			"22.702ms break 110µs", "22.832ms write 513", "22.832ms drained",
		}},
		"a driver that waits too long": {30 * time.Millisecond, []string{
			"0s break 110µs", "130µs write 513", "30.13ms drained",
			"30.13ms break 110µs", "30.26ms write 513", "60.26ms drained",
		}},
	} {
		t.Run(name, func(t *testing.T) {
			b := &bench{drain: c.drain}
			l := b.line()
			for range 2 {
				if err := l.send(&dmx.Frame{}); err != nil {
					t.Fatal(err)
				}
			}
			if !slices.Equal(b.log, c.want) {
				t.Errorf("on the line:\n%q, want\n%q", b.log, c.want)
			}
		})
	}
}

// Golden bytes of ANSI E1.11: start code 0, then slot 1.
func TestLineBytes(t *testing.T) {
	for _, v := range dmxtest.Vectors(t, "dmx512_line_512") {
		var f dmx.Frame
		copy(f[:], v.Bytes[1:])
		b := &bench{}
		if err := b.line().send(&f); err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(b.bytes, v.Bytes) {
			t.Errorf("%s: sent % x, want % x", v.Name, b.bytes, v.Bytes)
		}
	}
}

func TestShortWritesAreContinued(t *testing.T) {
	var f dmx.Frame
	for i := range f {
		f[i] = byte(i * 7)
	}
	b := &bench{takes: []int{100, 0, 300, 1}}
	if err := b.line().send(&f); err != nil {
		t.Fatal(err)
	}
	if len(b.bytes) != lineBytes || b.bytes[0] != 0 || !slices.Equal(b.bytes[1:], f[:]) {
		t.Errorf("%d bytes arrived, not the packet", len(b.bytes))
	}
}

func TestAPortThatTakesNothingIsGivenUp(t *testing.T) {
	b := &bench{takes: []int{10, 0, 0}}
	if err := b.line().send(&dmx.Frame{}); !errors.Is(err, errShort) {
		t.Errorf("got %v, want errShort", err)
	}
}

func TestLineErrors(t *testing.T) {
	b := &bench{err: syscall.EPIPE}
	var brk *breakError
	if err := b.line().send(&dmx.Frame{}); !errors.As(err, &brk) || !errors.Is(err, syscall.EPIPE) {
		t.Errorf("a failed break gives %v", err)
	}
	if len(b.bytes) > 0 {
		t.Error("slots were sent without a break before them: a receiver would take them for others")
	}
}

func TestLineAllocs(t *testing.T) {
	l := (&quiet{}).line()
	var f dmx.Frame
	if n := testing.AllocsPerRun(100, func() {
		if err := l.send(&f); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations for each packet, want 0", n)
	}
}

// quiet is a bench that takes everything and writes nothing down.
type quiet struct{ bench }

func (q *quiet) Write(p []byte) (int, error) { return len(p), nil }
func (q *quiet) Break(time.Duration) error   { return nil }
func (q *quiet) Drain() error                { return nil }
func (q *quiet) line() *line {
	l := newLine(q)
	l.now = func() time.Time { return epoch }
	l.sleep, l.spin = func(time.Duration) {}, func(time.Duration) {}
	return l
}
