//go:build linux

package main

import (
	"os"
	"strings"
	"testing"

	"go.uber.org/goleak"
	"golang.org/x/sys/unix"

	"limn/dmx/dmxtest"
)

// On a terminal the table is drawn over itself, and the cursor is given back.
func TestDemoOnATerminal(t *testing.T) {
	defer goleak.VerifyNone(t)
	t.Setenv("TERM", "xterm")
	pty := dmxtest.OpenPTY(t)
	far, port := pty.Master, pty.Name
	terminal, err := os.OpenFile(port, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	const columns, rows = 60, 12
	if err := unix.IoctlSetWinsize(int(terminal.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Col: columns, Row: rows}); err != nil {
		t.Fatal(err)
	}
	screen := newTranscript()
	seen := make(chan struct{})
	go func() {
		defer close(seen)
		buf := make([]byte, 4096)
		for {
			n, err := far.Read(buf)
			screen.Write(buf[:n])
			if err != nil { // the terminal was closed
				return
			}
		}
	}()
	status := run(t.Context(), []string{"demo", "--for", "2s", "--pace", "0.7s"},
		stdio{In: strings.NewReader(""), Out: terminal, Err: terminal})
	terminal.Close()
	<-seen
	if status != statusDone {
		t.Errorf("status %d", status)
	}
	text := screen.String()
	if strings.Count(text, hideCursor) != 1 || strings.Count(text, showCursor) != 1 {
		t.Errorf("the cursor is hidden %d times and shown %d times", strings.Count(text, hideCursor), strings.Count(text, showCursor))
	}
	pictures := strings.Split(text, eraseBelow)
	if len(pictures) < 10 {
		t.Fatalf("%d pictures in 2 s", len(pictures)-1)
	}
	for i, p := range pictures[:len(pictures)-1] {
		if !strings.Contains(p, "Kittiwake, 1:12") || !strings.Contains(p, "sent ") {
			t.Errorf("picture %d is not whole: %q", i, p)
		}
		// Neither scrolls, nor erases the screen as a whole: both would fill the scrollback.
		if n := strings.Count(p, "\n"); n >= rows {
			t.Errorf("picture %d has %d lines on a terminal of %d", i, n, rows)
		}
		if strings.HasSuffix(p, "A\r") {
			t.Errorf("picture %d is erased from its top: %q", i, p)
		}
	}
	checkSummary(t, text)
}
