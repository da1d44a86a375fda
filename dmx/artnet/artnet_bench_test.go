package artnet

import (
	"net"
	"net/netip"
	"testing"
	"time"

	"github.com/jsimonetti/go-artnet/packet"

	"limn/dmx"
)

// BenchmarkEncode gives ns of our encoding a packet, and of go-artnet's in the same run; the ratio is the figure.
func BenchmarkEncode(b *testing.B) {
	const each = 1000
	e, err := NewEncoder(1, 0)
	if err != nil {
		b.Fatal(err)
	}
	var f dmx.Frame
	theirs := packet.ArtDMXPacket{SubUni: 1, Data: f}
	var ourTime, theirTime time.Duration
	n := 0
	for b.Loop() {
		start := time.Now()
		for i := range each {
			e.Encode(byte(i), f[:])
		}
		middle := time.Now()
		for i := range each {
			theirs.Sequence = byte(i)
			if _, err := theirs.MarshalBinary(); err != nil {
				b.Fatal(err)
			}
		}
		ourTime += middle.Sub(start)
		theirTime += time.Since(middle)
		n += each
	}
	b.ReportMetric(float64(ourTime.Nanoseconds())/float64(n), "ns/packet")
	b.ReportMetric(float64(theirTime.Nanoseconds())/float64(n), "go-artnet-ns/packet")
	b.ReportMetric(float64(theirTime)/float64(ourTime), "go-artnet/ours")
}

func BenchmarkDecode(b *testing.B) {
	e, err := NewEncoder(1, 0)
	if err != nil {
		b.Fatal(err)
	}
	p := e.Encode(1, make([]byte, dmx.Slots))
	var d Datagram
	b.ReportAllocs()
	for b.Loop() {
		if err := d.Decode(p); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSend is 64 universes to one node, encoding included, against a plain WriteToUDPAddrPort
// of ready packets in the same run.
func BenchmarkSend(b *testing.B) {
	sink, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(anyLoopback))
	if err != nil {
		b.Fatal(err)
	}
	defer sink.Close()
	to := sink.LocalAddr().(*net.UDPAddr).AddrPort()
	universes := make([]dmx.Universe, 64)
	for i := range universes {
		universes[i] = dmx.Universe(i + 1)
	}
	o, err := NewOutput(Config{To: []netip.AddrPort{to}, Universes: universes})
	if err != nil {
		b.Fatal(err)
	}
	defer o.Close()
	plain, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(anyLoopback))
	if err != nil {
		b.Fatal(err)
	}
	defer plain.Close()
	frames := make([]dmx.Frame, len(universes))
	ready := make([]byte, 530)
	var ourTime, plainTime time.Duration
	n := 0
	b.ReportAllocs()
	for b.Loop() {
		start := time.Now()
		if err := o.Send(frames); err != nil {
			b.Fatal(err)
		}
		middle := time.Now()
		for range universes {
			if _, err := plain.WriteToUDPAddrPort(ready, to); err != nil {
				b.Fatal(err)
			}
		}
		ourTime += middle.Sub(start)
		plainTime += time.Since(middle)
		n += len(universes)
	}
	b.ReportMetric(float64(ourTime.Nanoseconds())/float64(n), "ns/packet")
	b.ReportMetric(float64(plainTime)/float64(ourTime), "plain/ours")
}

// BenchmarkSendOneOf64 is a frame in which one universe of 64 changes, as in a fade of one light.
func BenchmarkSendOneOf64(b *testing.B) {
	universes := make([]dmx.Universe, 64)
	for i := range universes {
		universes[i] = dmx.Universe(i + 1)
	}
	q := &quietNet{}
	o, err := NewOutput(Config{To: []netip.AddrPort{netip.MustParseAddrPort("127.0.0.1:6454")}, Universes: universes, dial: q.dial})
	if err != nil {
		b.Fatal(err)
	}
	defer o.Close()
	frames := make([]dmx.Frame, len(universes))
	n := 0
	b.ReportAllocs()
	for b.Loop() {
		frames[7][3]++
		if err := o.Send(frames); err != nil {
			b.Fatal(err)
		}
		n++
	}
	b.ReportMetric(float64(q.taken)/float64(n), "packets/frame")
}

// BenchmarkHear is an answer of a known node that says nothing new, which is what a network of nodes sends all the time, and a
// flood of strangers' answers to a full table.
func BenchmarkHear(b *testing.B) {
	var r PollReply
	r.SetOutput(0, 1)
	packet := r.AppendTo(nil)
	for _, full := range []bool{false, true} {
		name := "known"
		if full {
			name = "flood"
		}
		b.Run(name, func(b *testing.B) {
			d := &Discovery{table: newTable(), wake: make(chan struct{}, 1), network: Network{Own: netip.MustParsePrefix("10.0.0.1/8")}}
			from := netip.MustParseAddrPort("10.9.9.1:6454")
			d.hear(packet, from, &r)
			for i := 0; full && len(d.table.entries) < maxNodes; i++ {
				d.hear(packet, netip.AddrPortFrom(netip.AddrFrom4([4]byte{10, 8, byte(i >> 8), byte(i)}), Port), &r)
			}
			if full {
				from = netip.MustParseAddrPort("10.7.7.7:6454")
			}
			b.ReportAllocs()
			for b.Loop() {
				d.hear(packet, from, &r)
			}
		})
	}
}
