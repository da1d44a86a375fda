package serial

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"limn/dmx"
	"limn/dmx/dmxtest"
)

// plug is a pseudo-terminal under a path that stays when it is pulled and plugged
// in again, as an adapter's does.
type plug struct {
	t       testing.TB
	path    string // "" when the adapter comes back under another each time
	kind    Kind
	arrived chan dmxtest.Arrived

	mu  sync.Mutex
	pty *dmxtest.PTY
	end sync.WaitGroup
}

func newPlug(t testing.TB, kind Kind) *plug {
	p := &plug{t: t, kind: kind, path: filepath.Join(t.TempDir(), "ttyUSB0"), arrived: make(chan dmxtest.Arrived, 4096)}
	p.Return()
	return p
}

func (p *plug) Arrived() <-chan dmxtest.Arrived { return p.arrived }

func (p *plug) Return() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.pty = dmxtest.OpenPTY(p.t)
	if p.path != "" {
		if err := os.Symlink(p.pty.Name, p.path); err != nil {
			p.t.Fatal(err)
		}
	}
	master := p.pty.Master
	p.end.Go(func() { p.read(master) })
}

// read waits for bytes, and for the port to be opened before that.
func (p *plug) read(master *os.File) {
	var s Scanner
	var line []byte
	buf := make([]byte, 4096)
	for {
		n, err := master.Read(buf)
		if errors.Is(err, unix.EIO) { // nobody has the port open: not yet, or not just now
			line = nil
			time.Sleep(time.Millisecond)
			continue
		}
		if err != nil {
			return
		}
		if p.kind == Raw {
			if question := (Packet{LabelParameters, []byte{0, 0}}).AppendTo(nil); len(line) == 0 {
				for bytes.HasPrefix(buf[:n], question) { // a line takes no notice of what has no break before it
					n = copy(buf, buf[len(question):n])
				}
			}
			for line = append(line, buf[:n]...); len(line) >= lineBytes; line = line[lineBytes:] {
				p.arrive(line[:lineBytes])
			}
			continue
		}
		s.Write(buf[:n], func(pk Packet) {
			switch pk.Label {
			case LabelSend:
				p.arrive(pk.Payload)
			case LabelParameters:
				_, _ = master.Write(Packet{LabelParameters, []byte{1, 2, 9, 1, 40}}.AppendTo(nil)) // a hang-up ends the reading too
			}
		})
	}
}

func (p *plug) arrive(b []byte) {
	if b[0] != startCode {
		p.t.Errorf("a packet with start code %#02x arrived", b[0])
	}
	a := dmxtest.Arrived{Universe: 1}
	copy(a.Frame[:], b[1:])
	p.arrived <- a
}

func (p *plug) Leave() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.pty == nil {
		return
	}
	p.pty.Master.Close()
	p.pty = nil
	if p.path == "" {
		return
	}
	if err := os.Remove(p.path); err != nil {
		p.t.Error(err)
	}
}

// list is what a machine would list: the adapter, wherever it is now.
func (p *plug) list() ([]Adapter, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.pty == nil {
		return nil, nil
	}
	return []Adapter{{Port: p.pty.Name, USB: true, Vendor: 0x0403, Product: 0x6001, Serial: "KITTIWAKE", Means: MeansEither}}, nil
}

func (p *plug) Close() {
	p.Leave()
	p.end.Wait()
}

func TestConformance(t *testing.T) {
	for _, kind := range []Kind{Raw, Widget} {
		t.Run(kind.String(), func(t *testing.T) {
			dmxtest.Run(t, dmxtest.Transport{
				Universes: []dmx.Universe{1},
				Tells:     true,
				Open: func(t testing.TB) (dmx.Output, dmxtest.Far) {
					p := newPlug(t, kind)
					o, err := NewOutput(Config{Name: "bench", Kind: kind, Port: p.path, Universe: 1})
					if err != nil {
						t.Fatal(err)
					}
					return o, p
				},
			})
		})
	}
}

// The same for kind = "usb": the adapter is found, asked, and found again under the name that it comes back with.
func TestConformanceFound(t *testing.T) {
	for _, kind := range []Kind{Raw, Widget} {
		t.Run(kind.String(), func(t *testing.T) {
			dmxtest.Run(t, dmxtest.Transport{
				Universes: []dmx.Universe{1},
				Tells:     true,
				Open: func(t testing.TB) (dmx.Output, dmxtest.Far) {
					p := &plug{t: t, kind: kind, arrived: make(chan dmxtest.Arrived, 4096)}
					p.Return()
					o, err := NewOutput(Config{Name: "bench", Kind: Auto, Universe: 1, List: p.list})
					if err != nil {
						t.Fatal(err)
					}
					return o, p
				},
			})
		})
	}
}

// An output that was given a port finds its adapter under another after a loss, by its serial number,
// and not the other one that has its port now.
func TestReplugUnderAnotherName(t *testing.T) {
	old := dmxtest.OpenPTY(t)
	there := []Adapter{moved(boxA, old.Name, "1-1:1.0")}
	var mu sync.Mutex
	o, err := NewOutput(Config{Name: "bench", Kind: Raw, Port: old.Name, Universe: 1, List: func() ([]Adapter, error) {
		mu.Lock()
		defer mu.Unlock()
		return there, nil
	}})
	if err != nil {
		t.Fatal(err)
	}
	if err := o.Send(frame(1)); err != nil {
		t.Fatal(err)
	}
	mu.Lock()
	next := dmxtest.OpenPTY(t)
	there = []Adapter{moved(boxB, old.Name, "1-1:1.0"), moved(boxA, next.Name, "1-2:1.0")}
	mu.Unlock()
	if err := old.Master.Close(); err != nil { // hangs up
		t.Fatal(err)
	}
	for start := time.Now(); ; time.Sleep(time.Second / 44) {
		if err = o.Send(frame(2)); err == nil && o.Status().Where == next.Name {
			break
		}
		if time.Since(start) > 15*time.Second {
			t.Fatalf("not found again: %v, %+v", err, o.Status())
		}
	}
	buf := make([]byte, 2)
	if err := next.Master.SetReadDeadline(time.Now().Add(15 * time.Second)); err != nil {
		t.Fatal(err)
	}
	if _, err := io.ReadFull(next.Master, buf); err != nil || buf[1] != 2 {
		t.Errorf("% x arrived, %v", buf, err)
	}
	if err := o.Close(); err != nil {
		t.Error(err)
	}
}

// The line's settings, ANSI E1.11: 250000 bit/s, 8 data bits, no parity, 2 stop
// bits, and every byte as it is.
func TestLineSettings(t *testing.T) {
	p := dmxtest.OpenPTY(t)
	o, err := NewOutput(Config{Name: "bench", Port: p.Name, Universe: 1})
	if err != nil {
		t.Fatal(err)
	}
	var f dmx.Frame
	for i := range f {
		f[i] = byte(i)
	}
	if err := o.Send([]dmx.Frame{f}); err != nil {
		t.Fatal(err)
	}
	s := p.Settings(t)
	if s.Ispeed != lineSpeed || s.Ospeed != lineSpeed {
		t.Errorf("%d and %d bit/s, want %d", s.Ispeed, s.Ospeed, lineSpeed)
	}
	if s.Cflag&unix.CSIZE != unix.CS8 || s.Cflag&unix.CSTOPB == 0 || s.Cflag&unix.PARENB != 0 || s.Cflag&unix.CRTSCTS != 0 {
		t.Errorf("control flags %#x are not 8N2 without flow control", s.Cflag)
	}
	if s.Oflag&unix.OPOST != 0 || s.Lflag&(unix.ICANON|unix.ECHO|unix.ISIG) != 0 || s.Iflag&(unix.IXON|unix.ICRNL) != 0 {
		t.Errorf("the line is not raw: %#x %#x %#x", s.Iflag, s.Oflag, s.Lflag)
	}
	got := make([]byte, 2*lineBytes)
	if err := p.Master.SetReadDeadline(time.Now().Add(10 * time.Second)); err != nil {
		t.Fatal(err)
	}
	n := 0
	for n < lineBytes {
		m, err := p.Master.Read(got[n:])
		if err != nil {
			t.Fatal(err)
		}
		n += m
	}
	if want := append([]byte{startCode}, f[:]...); !bytes.Equal(got[:lineBytes], want) {
		t.Errorf("%d bytes at the far end are not the packet", n)
	}
	if err := o.Close(); err != nil {
		t.Error(err)
	}
}

// A plug pulled while a packet is half written: the write that was under way ends, the operator is told that
// the adapter is gone and not that it is stuck, and the next one that is plugged in gets the present frame.
func TestUnpluggedMidFrame(t *testing.T) {
	pty := dmxtest.OpenPTY(t)
	there := []Adapter{moved(boxA, pty.Name, "1-1:1.0")}
	var mu sync.Mutex
	o, err := NewOutput(Config{Name: "bench", Kind: Raw, Port: boxA.Serial, Universe: 1, List: func() ([]Adapter, error) {
		mu.Lock()
		defer mu.Unlock()
		return there, nil
	}})
	if err != nil {
		t.Fatal(err)
	}
	if err := o.Send(frame(1)); err != nil {
		t.Fatal(err)
	}
	failed := make(chan error, 1)
	go func() {
		for {
			if err := o.Send(frame(2)); err != nil {
				failed <- err
				return
			}
		}
	}()
	mu.Lock()
	next := dmxtest.OpenPTY(t)
	there = []Adapter{moved(boxA, next.Name, "1-1:1.0")}
	mu.Unlock()
	// Nobody reads: when no more bytes wait than 100 ms ago, a write is under way and held up.
	for before, same := -1, 0; same < 5; {
		time.Sleep(20 * time.Millisecond)
		now := pty.Waiting(t)
		if same++; now != before || now < lineBytes {
			before, same = now, 0
		}
	}
	if err := pty.Master.Close(); err != nil {
		t.Fatal(err)
	}
	select {
	case err := <-failed:
		if errors.Is(err, errStalled) || !strings.Contains(o.Status().Text, "the adapter is gone") {
			t.Errorf("pulled out mid-frame: %v, %+v", err, o.Status())
		}
	case <-time.After(15 * time.Second):
		t.Fatal("Send does not return")
	}
	for start := time.Now(); o.Send(frame(3)) != nil; time.Sleep(time.Second / 44) {
		if time.Since(start) > 15*time.Second {
			t.Fatalf("not live again: %+v", o.Status())
		}
	}
	buf := make([]byte, 2)
	if err := next.Master.SetReadDeadline(time.Now().Add(15 * time.Second)); err != nil {
		t.Fatal(err)
	}
	if _, err := io.ReadFull(next.Master, buf); err != nil || buf[1] != 3 {
		t.Errorf("% x arrived, %v", buf, err)
	}
	if err := o.Close(); err != nil {
		t.Error(err)
	}
}

// A widget and a plain line behind pseudo-terminals are told apart.
func TestProbeOfPseudoTerminals(t *testing.T) {
	for _, kind := range []Kind{Widget, Raw} {
		p := newPlug(t, kind)
		got, err := Probe(p.path, false)
		if err != nil || got.Kind != kind {
			t.Errorf("%v is found to be %+v, %v", kind, got, err)
		}
		p.Close()
	}
}

// What is named is there and is no serial port.
func TestAFileIsNoPort(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ttyUSB0")
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, kind := range []Kind{Raw, Widget, Auto} {
		o, err := NewOutput(Config{Name: "bench", Kind: kind, Port: path, Universe: 1})
		if err != nil {
			t.Fatal(err)
		}
		if err := o.Send(frame(1)); err == nil || !strings.Contains(o.Status().Text, path+" is not a serial port") {
			t.Errorf("%v: %v, %+v", kind, err, o.Status())
		}
	}
}

// A pseudo-terminal has no request-to-send line, as some adapters have none.
func TestNoRequestToSend(t *testing.T) {
	p := dmxtest.OpenPTY(t)
	o, err := NewOutput(Config{Name: "bench", Port: p.Name, Universe: 1, LowRTS: true})
	if err != nil {
		t.Fatal(err)
	}
	if err := o.Send(frame(1)); err == nil || !strings.Contains(o.Status().Text, "has no request-to-send line") {
		t.Errorf("%v, %+v", err, o.Status())
	}
}

// Nobody reads: after the driver's buffer is full the write blocks for good. Send
// must come back, and Close too; hanging up frees what was left behind.
func TestAnAdapterThatStalls(t *testing.T) {
	p := dmxtest.OpenPTY(t)
	o, err := NewOutput(Config{Name: "bench", Port: p.Name, Universe: 1})
	if err != nil {
		t.Fatal(err)
	}
	for range 1000 {
		if err = o.Send(make([]dmx.Frame, 1)); err != nil {
			break
		}
	}
	if err == nil || o.Status().Up {
		t.Errorf("1000 packets into a buffer nobody empties: %v, %+v", err, o.Status())
	}
	if err := o.Close(); err == nil || !strings.Contains(err.Error(), "is stuck") {
		t.Errorf("Close says %v", err)
	}
	if err := p.Master.Close(); err != nil {
		t.Fatal(err)
	}
	for _, l := range o.stuck {
		select {
		case <-l.done:
		case <-time.After(10 * time.Second):
			t.Error("hung up, and the goroutine does not end")
		}
	}
}
