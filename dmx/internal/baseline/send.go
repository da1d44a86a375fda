package baseline

import (
	"bufio"
	"fmt"
	"io"
	"net/netip"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"
)

// Sender is a program in C that sends ready packets by sendmmsg, 64 a call, and does nothing else.
type Sender struct {
	in    io.WriteCloser
	lines *bufio.Scanner
}

// NewSender starts one. Of each frame's packets, all of one size, every address gets an equal run. It ends with the test.
func NewSender(tb testing.TB, size, packets int, to []netip.AddrPort) *Sender {
	tb.Helper()
	args := []string{strconv.Itoa(size), strconv.Itoa(packets)}
	for _, a := range to {
		args = append(args, a.String())
	}
	cmd := exec.Command(build(tb, "send"), args...)
	in, err := cmd.StdinPipe()
	if err != nil {
		tb.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		tb.Fatal(err)
	}
	var complaint strings.Builder
	cmd.Stderr = &complaint
	if err := cmd.Start(); err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() {
		in.Close()
		if err := cmd.Wait(); err != nil {
			tb.Errorf("the program in C: %v\n%s", err, complaint.String())
		}
	})
	return &Sender{in: in, lines: bufio.NewScanner(out)}
}

// Send sends frames and says how long that took.
func (s *Sender) Send(tb testing.TB, frames int) time.Duration {
	tb.Helper()
	if _, err := fmt.Fprintln(s.in, frames); err != nil {
		tb.Fatal(err)
	}
	if !s.lines.Scan() {
		tb.Fatal("the program in C ended")
	}
	ns, err := strconv.ParseInt(s.lines.Text(), 10, 64)
	if err != nil {
		tb.Fatal(err)
	}
	return time.Duration(ns)
}
