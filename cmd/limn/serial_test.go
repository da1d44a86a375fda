//go:build linux

package main

import (
	"bytes"
	"errors"
	"os"
	"syscall"
	"testing"
	"time"

	"go.uber.org/goleak"

	"limn/dmx/dmxtest"
)

// What a run with a serial adapter writes, read at the far end of a
// pseudo-terminal: the slots of the shoot, framed as the adapter wants them.
func TestRunOnASerialAdapter(t *testing.T) {
	defer goleak.VerifyNone(t)
	for kind, frame := range map[string]struct{ head, tail []byte }{
		// ANSI E1.11: a null start code, then the slots. A pseudo-terminal does not carry the break.
		"usb raw": {[]byte{0x00}, nil},
		// The framed widget protocol: start, label 6 (send DMX), length 513 low byte first, start code; end.
		"usb widget": {[]byte{0x7e, 0x06, 0x01, 0x02, 0x00}, []byte{0xe7}},
	} {
		t.Run(kind, func(t *testing.T) {
			pty := dmxtest.OpenPTY(t)
			far, port := pty.Master, pty.Name
			dir := shootWith(t, `
[[output]]
name = "adapter"
kind = "`+kind+`"
to = "`+port+`"
universes = [1]
`)
			want := lastTraced(t, dir, "0s go bow")
			desk := start(t, "run", dir, "--headless", "--yes", "--do", "0s go bow")
			whole := append(append(bytes.Clone(frame.head), want...), frame.tail...)
			readUntil(t, far, whole)
			desk.interrupt()
			if status := desk.wait(); status != statusInterrupted {
				t.Errorf("status %d\n%s", status, desk.err)
			}
		})
	}
}

// readUntil reads from f, the far end of a pseudo-terminal, until what was read holds
// want. Its error while nobody has the port open is no end: an adapter that was too slow
// for a moment is let go and opened again.
func readUntil(t *testing.T, f *os.File, want []byte) {
	t.Helper()
	f.SetReadDeadline(time.Now().Add(patience))
	var got []byte
	for buf := make([]byte, 4096); !bytes.Contains(got, want); {
		n, err := f.Read(buf)
		if errors.Is(err, syscall.EIO) {
			time.Sleep(time.Millisecond)
			continue
		}
		if err != nil {
			t.Fatalf("after %d bytes: %v", len(got), err)
		}
		if got = append(got, buf[:n]...); len(got) > 1<<20 {
			got = got[len(got)-len(want):]
		}
	}
}

// An adapter that is not plugged in is reported and tried again, and found when it comes.
func TestRunWaitsForAnAdapter(t *testing.T) {
	defer goleak.VerifyNone(t)
	pty := dmxtest.OpenPTY(t)
	far, port := pty.Master, pty.Name
	link := t.TempDir() + "/adapter"
	dir := shootWith(t, `
[[output]]
name = "adapter"
kind = "usb widget"
to = "`+link+`"
universes = [1]
`)
	desk := start(t, "run", dir, "--headless", "--yes", "--do", "0s go bow")
	desk.err.says(t, "output adapter: down")
	if err := os.Symlink(port, link); err != nil {
		t.Fatal(err)
	}
	readUntil(t, far, []byte{0x7e, 0x06, 0x01, 0x02, 0x00})
	desk.err.says(t, "output adapter: up")
	desk.interrupt()
	desk.wait()
}
