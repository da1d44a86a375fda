package udp

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"os"
	"slices"
	"testing"
	"time"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// Every error that is listed is known again however it is wrapped, and belongs to one cause.
func TestCauses(t *testing.T) {
	seen := map[string]Cause{}
	for _, c := range causes {
		for _, e := range c.errs {
			if before, twice := seen[e.Error()]; twice && before != c.cause {
				t.Errorf("%v has two causes", e)
			}
			seen[e.Error()] = c.cause
			wrapped := fmt.Errorf("sending: %w", &net.OpError{Op: "write", Err: &os.SyscallError{Syscall: "sendmmsg", Err: e}})
			if got := CauseOf(wrapped); got != c.cause {
				t.Errorf("%v comes of %v, want %v", e, got, c.cause)
			}
		}
	}
	if CauseOf(errors.New("else")) != Other || CauseOf(nil) != Other {
		t.Error("an unknown error has a cause")
	}
}

// A socket takes more messages than fit in one call, one call after the other, and learns that nobody listens.
func TestDial(t *testing.T) {
	for _, loopback := range []string{"127.0.0.1:0", "[::1]:0"} {
		sink, err := net.ListenUDP("udp", net.UDPAddrFromAddrPort(netip.MustParseAddrPort(loopback)))
		if err != nil {
			t.Skipf("this system has no such address: %v", err)
		}
		s, err := Dial(sink.LocalAddr().(*net.UDPAddr).AddrPort())
		if err != nil {
			t.Fatal(err)
		}
		var msgs []Message
		for i := range 100 {
			msgs = append(msgs, Message{Buffers: [][]byte{{byte(i)}}})
		}
		for left := msgs; len(left) > 0; {
			n, err := s.Write(left)
			if err != nil || n < 1 || n > Batch {
				t.Fatalf("%d sent, %v", n, err)
			}
			left = left[n:]
		}
		var got []byte
		buf := make([]byte, 8)
		_ = sink.SetReadDeadline(time.Now().Add(10 * time.Second))
		for range msgs {
			if _, err := sink.Read(buf); err != nil {
				t.Fatal(err)
			}
			got = append(got, buf[0])
		}
		if !slices.IsSorted(got) || got[99] != 99 {
			t.Errorf("arrived %v", got)
		}
		sink.Close()
		for limit := time.Now().Add(10 * time.Second); ; {
			if _, err := s.Write(msgs[:1]); CauseOf(err) == Refused {
				break
			}
			if time.Now().After(limit) {
				t.Fatal("nobody listens, and the socket does not say so")
			}
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
}
