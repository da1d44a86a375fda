package udp

import (
	"bytes"
	"errors"
	"net"
	"net/netip"
	"os"
	"syscall"
	"testing"
	"time"
	"unsafe"

	"golang.org/x/sys/unix"

	"limn/dmx/dmxtest"
)

// recorder stands for the system.
type recorder struct {
	errs  []error // of the next calls, nil among them for success
	got   [][]Message
	waits bool // a call might have waited for room
}

func (r *recorder) WriteBatch(msgs []Message, flags int) (int, error) {
	r.waits = r.waits || flags&unix.MSG_DONTWAIT == 0
	if len(r.errs) > 0 {
		err := r.errs[0]
		r.errs = r.errs[1:]
		if err != nil {
			return 0, &os.SyscallError{Syscall: "sendmmsg", Err: err}
		}
	}
	var copied []Message
	for _, m := range msgs {
		m.Buffers = append([][]byte(nil), m.Buffers...)
		copied = append(copied, m)
	}
	r.got = append(r.got, copied)
	return len(msgs), nil
}

// stand puts the recorder in the system's place.
func (r *recorder) stand(b *batcher) {
	b.packets = r
	b.cut = func() error {
		m := Message{OOB: b.segments.size}
		for _, p := range b.segments.parts[:b.segments.head.Iovlen] {
			m.Buffers = append(m.Buffers, unsafe.Slice(p.Base, p.Len))
		}
		_, err := r.WriteBatch([]Message{m}, unix.MSG_DONTWAIT)
		return err
	}
}

func connected(t *testing.T) *batcher {
	t.Helper()
	sink, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(netip.MustParseAddrPort("127.0.0.1:0")))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { sink.Close() })
	s, err := Dial(sink.LocalAddr().(*net.UDPAddr).AddrPort())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	b := s.(*batcher)
	if b.segments == nil {
		t.Skip("this kernel has no UDP segmentation")
	}
	return b
}

func packetsOf(sizes ...int) (msgs []Message) {
	for i, n := range sizes {
		msgs = append(msgs, Message{Buffers: [][]byte{bytes.Repeat([]byte{byte(i)}, n)}})
	}
	return msgs
}

func same(n, size int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = size
	}
	return out
}

// Packets of one size go as one message, at most 64 and at most what one IP packet holds; others as they were.
func TestGather(t *testing.T) {
	for _, c := range []struct {
		sizes []int
		want  int // segments in the first message, 0 for a plain batch
	}{
		{same(1, 638), 0},
		{same(2, 638), 2},
		{same(64, 638), 64},
		{same(65, 638), 64},
		{same(64, 1400), 46}, // 47 do not fit into 65507 bytes
		{append(same(8, 638), 637), 8},
		{append(same(3, 638), same(20, 100)...), 3},
		{append(same(1, 638), same(20, 100)...), 0},
		{same(2, 40000), 0},
		{same(9, 0), 0},
	} {
		b, r := connected(t), &recorder{}
		r.stand(b)
		n, err := b.Write(packetsOf(c.sizes...))
		if err != nil {
			t.Fatal(err)
		}
		if c.want == 0 {
			if n != min(len(c.sizes), Batch) || len(r.got[0]) != n || r.got[0][0].OOB != nil {
				t.Errorf("%v: %d sent", c.sizes, n)
			}
			continue
		}
		if n != c.want || len(r.got[0]) != 1 || len(r.got[0][0].Buffers) != c.want {
			t.Errorf("%v: %d sent in %d messages", c.sizes, n, len(r.got[0]))
		}
	}
}

// A way that cannot cut segments is noticed at once, nothing is lost by it, and plain batches are used from then on, which the
// path says. Other errors are the caller's and change nothing. No call waits for room in a queue.
func TestSegmentsRefused(t *testing.T) {
	msgs := packetsOf(same(20, 638)...)
	for _, e := range []syscall.Errno{unix.EIO, unix.EINVAL, unix.EOPNOTSUPP, unix.EMSGSIZE, unix.ENOPROTOOPT} {
		b, r := connected(t), &recorder{errs: []error{nil, e}}
		r.stand(b)
		if n, err := b.Write(msgs); n != 20 || err != nil || b.Path() != segmented {
			t.Errorf("%d, %v, %q", n, err, b.Path())
		}
		r.got = nil
		for range 2 {
			if n, err := b.Write(msgs); n != 20 || err != nil {
				t.Errorf("%v: %d sent, %v", e, n, err)
			}
		}
		if len(r.got) != 2 || len(r.got[0]) != 20 || len(r.got[1]) != 20 || r.got[0][0].OOB != nil || r.waits {
			t.Errorf("%v: %d calls, %v", e, len(r.got), r.waits)
		}
		if want := "batches, as segments were refused: " + e.Error(); b.Path() != want {
			t.Errorf("path %q, want %q", b.Path(), want)
		}
		// What was not about segments is met again, and is the caller's.
		b, r = connected(t), &recorder{errs: []error{e, e}}
		r.stand(b)
		if n, err := b.Write(msgs); n != 0 || !errors.Is(err, e) {
			t.Errorf("%v twice: %d, %v", e, n, err)
		}
	}
	for _, e := range []syscall.Errno{unix.ECONNREFUSED, unix.EHOSTUNREACH, unix.ENOBUFS, unix.EAGAIN, unix.ENETUNREACH} {
		b, r := connected(t), &recorder{errs: []error{e}}
		r.stand(b)
		if n, err := b.Write(msgs); n != 0 || !errors.Is(err, e) || b.Path() != segmented || r.waits {
			t.Errorf("%v: %d, %v, %q", e, n, err, b.Path())
		}
	}
}

// Who does not want segments gets batches.
func TestPlain(t *testing.T) {
	b, r := connected(t), &recorder{}
	r.stand(b)
	msgs := packetsOf(same(20, 638)...)
	if n, err := Plain(b).Write(msgs); n != 20 || err != nil || len(r.got[0]) != 20 || b.Path() != batched {
		t.Errorf("%d, %v, %q", n, err, b.Path())
	}
}

// What the kernel cuts arrives whole and in order.
func TestSegmentsArrive(t *testing.T) {
	sink, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(netip.MustParseAddrPort("127.0.0.1:0")))
	if err != nil {
		t.Fatal(err)
	}
	defer sink.Close()
	s, err := Dial(sink.LocalAddr().(*net.UDPAddr).AddrPort())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	msgs := packetsOf(same(100, 638)...)
	for left := msgs; len(left) > 0; {
		n, err := s.Write(left)
		if err != nil {
			t.Fatal(err)
		}
		left = left[n:]
	}
	buf := make([]byte, 2048)
	_ = sink.SetReadDeadline(time.Now().Add(10 * time.Second))
	for i := range msgs {
		n, err := sink.Read(buf)
		if err != nil || !bytes.Equal(buf[:n], msgs[i].Buffers[0]) {
			t.Fatalf("packet %d: %d bytes, %v", i, n, err)
		}
	}
	b := s.(*batcher)
	if n := testing.AllocsPerRun(200, func() {
		if _, err := b.Write(msgs); err != nil {
			t.Fatal(err)
		}
	}); n != 0 && !dmxtest.Race {
		t.Errorf("%v allocations", n)
	}
}
