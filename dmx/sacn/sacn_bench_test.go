package sacn

import (
	"net"
	"net/netip"
	"testing"
	"time"

	"limn/dmx"
)

// BenchmarkEncode gives ns of filling a ready packet, and of writing one anew in the same run; the ratio is the figure.
func BenchmarkEncode(b *testing.B) {
	const each = 1000
	var f dmx.Frame
	d := Data{CID: testCID, Name: []byte("Kittiwake"), Priority: 100, Universe: 1, Slots: f[:]}
	e, err := NewEncoder(d)
	if err != nil {
		b.Fatal(err)
	}
	var ready, anew time.Duration
	n := 0
	for b.Loop() {
		start := time.Now()
		for i := range each {
			e.Encode(byte(i), &f)
		}
		middle := time.Now()
		for i := range each {
			d.Sequence = byte(i)
			if _, err := d.Append(nil); err != nil {
				b.Fatal(err)
			}
		}
		ready += middle.Sub(start)
		anew += time.Since(middle)
		n += each
	}
	b.ReportMetric(float64(ready.Nanoseconds())/float64(n), "ns/packet")
	b.ReportMetric(float64(anew.Nanoseconds())/float64(n), "anew-ns/packet")
	b.ReportMetric(float64(anew)/float64(ready), "anew/ready")
}

func BenchmarkDecode(b *testing.B) {
	d := Data{CID: testCID, Name: []byte("Kittiwake"), Priority: 100, Universe: 1, Slots: make([]byte, dmx.Slots)}
	p, err := d.Append(nil)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if err := d.Decode(p); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkHear is decoding and arbitration among eight senders in one universe.
func BenchmarkHear(b *testing.B) {
	tab := newTable()
	var senders []*sender
	for n := range 8 {
		senders = append(senders, newSender(byte(n+1), byte(100+n)))
	}
	var d Data
	i := 0
	b.ReportAllocs()
	for b.Loop() {
		s := senders[i%len(senders)]
		s.Sequence++
		d = s.Data
		tab.hear(&d, s.from, time.Duration(i)*time.Millisecond)
		i++
	}
}

// BenchmarkSend is 64 universes that change, encoding included, against a plain WriteToUDPAddrPort of ready
// packets in the same run: to one address, and by multicast.
func BenchmarkSend(b *testing.B) {
	var universes []dmx.Universe
	for u := range 64 {
		universes = append(universes, dmx.Universe(u+1))
	}
	sink, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(loopback4))
	if err != nil {
		b.Fatal(err)
	}
	defer sink.Close()
	to := sink.LocalAddr().(*net.UDPAddr).AddrPort()
	for name, cfg := range map[string]Config{
		"unicast":   {To: []netip.AddrPort{to}},
		"multicast": {Groups: Groups4, Interface: loopbackName(b), port: to.Port(), interfaces: loopbackAlone},
	} {
		b.Run(name, func(b *testing.B) {
			cfg.Universes, cfg.CID = universes, testCID
			o, err := New(cfg)
			if err != nil {
				b.Fatal(err)
			}
			defer o.Close()
			plain, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(loopback4))
			if err != nil {
				b.Fatal(err)
			}
			defer plain.Close()
			frames := make([]dmx.Frame, len(universes))
			ready := make([]byte, slotsAt+dmx.Slots)
			var ours, theirs time.Duration
			n := 0
			b.ReportAllocs()
			for b.Loop() {
				for i := range frames {
					frames[i][0]++
				}
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
				ours += middle.Sub(start)
				theirs += time.Since(middle)
				n += len(universes)
			}
			b.ReportMetric(float64(ours.Nanoseconds())/float64(n), "ns/packet")
			b.ReportMetric(float64(theirs)/float64(ours), "plain/ours")
		})
	}
}
