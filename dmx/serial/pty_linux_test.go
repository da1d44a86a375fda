package serial

import (
	"bytes"
	"errors"
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
	path    string
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
	if err := os.Symlink(p.pty.Name, p.path); err != nil {
		p.t.Fatal(err)
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
	if err := os.Remove(p.path); err != nil {
		p.t.Error(err)
	}
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
