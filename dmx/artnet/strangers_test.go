package artnet

import (
	"encoding/binary"
	"net/netip"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
)

// A flood of forged answers, from all addresses of a wide network and with all parts, fills a bounded table, costs the real node
// nothing, and is over when it is over.
func TestFloodOfForgedReplies(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		f.network.Own = netip.MustParsePrefix("10.9.9.7/8")
		var l listener
		a := f.device("10.9.9.1", 1)
		d := discover(t, f, &l)
		o := subscribed(t, f, d, 1)
		if err := o.Send([]dmx.Frame{{50}}); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Second)
		synctest.Wait()
		var r PollReply
		SetText(r.ShortName[:], "\x1b]0;forged\x07")
		r.SetOutput(0, 1)
		var scratch PollReply
		const flood = 50_000
		for i := range uint32(flood) {
			var ip [4]byte
			binary.BigEndian.PutUint32(ip[:], 10<<24|(i*2654435761)>>8)
			r.BindIndex = byte(i)
			d.hear(r.AppendTo(nil), netip.AddrPortFrom(netip.AddrFrom4(ip), Port), &scratch)
			d.hear((&PollPacket{}).AppendTo(nil), netip.AddrPortFrom(netip.AddrFrom4(ip), Port), &scratch)
			if i%1000 == 0 {
				synctest.Wait()
			}
		}
		d.mu.Lock()
		entries, waiting, events := len(d.table.entries), len(d.answers.due), len(d.events)
		d.mu.Unlock()
		if entries > maxNodes || waiting > maxAnswers || events > maxEvents {
			t.Errorf("%d nodes, %d answers, %d events are kept", entries, waiting, events)
		}
		time.Sleep(100 * time.Millisecond)
		synctest.Wait()
		o.sending.Lock()
		dests := len(o.dests)
		o.sending.Unlock()
		if dests > maxTakers {
			t.Errorf("one universe goes to %d nodes", dests)
		}
		if c := d.Counters(); c.Overflow == 0 || c.Replies < flood {
			t.Errorf("counters %+v", c)
		}
		for _, n := range d.Nodes() {
			if strings.ContainsAny(n.Name, "\x1b\x07") {
				t.Fatalf("a name of %q", n.Name)
			}
		}
		f.got(a)
		if err := o.Send([]dmx.Frame{{51}}); err != nil {
			t.Error(err)
		}
		if got := f.got(a); len(got) != 1 || got[0].first != 51 {
			t.Errorf("the real node got %v", got)
		}
		time.Sleep(20 * time.Second)
		synctest.Wait()
		o.sending.Lock()
		left := 0
		for _, x := range o.dests {
			if !x.gone {
				left++
			}
		}
		o.sending.Unlock()
		if left != 1 {
			t.Errorf("20 s after the flood the universe goes to %d nodes, want 1", left)
		}
		closing(t, o, d)
	})
}

// Everything strange that can arrive is counted and changes nothing.
func TestDiscoveryAmongStrangers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		var other []OpCode
		d, err := Discover(DiscoveryConfig{networks: f.networks, open: f.open, OnMessage: func(op OpCode, _ netip.AddrPort, _ []byte) { other = append(other, op) }})
		if err != nil {
			t.Fatal(err)
		}
		var scratch PollReply
		from := netip.MustParseAddrPort("10.9.9.50:6454")
		d.hear([]byte("Art-Net\x00"), from, &scratch)
		d.hear(nil, from, &scratch)
		d.hear((&PollReply{NumPorts: 5}).AppendTo(nil), from, &scratch)
		d.hear((&PollReply{}).AppendTo(nil), netip.MustParseAddrPort("192.168.1.1:6454"), &scratch)
		d.hear(AppendHeader(nil, OpTodData), from, &scratch)
		if c := d.Counters(); c.Malformed != 3 || c.Strangers != 1 || len(d.Nodes()) != 0 || !slices.Equal(other, []OpCode{OpTodData}) {
			t.Errorf("counters %+v, nodes %v, others %v", c, d.Nodes(), other)
		}
		if err := d.Send(netip.MustParseAddr("192.168.1.1"), AppendHeader(nil, OpTodRequest)); err == nil || !strings.Contains(err.Error(), "no device of the network eth7") {
			t.Errorf("a message to a stranger: %v", err)
		}
		if err := d.Send(netip.MustParseAddr("10.9.9.1"), AppendHeader(nil, OpTodRequest)); err != nil {
			t.Error(err)
		}
		if all := f.said(OpTodRequest); len(all) != 1 || all[0].to.String() != "10.9.9.1:6454" {
			t.Errorf("sent %v", all)
		}
		closing(t, d)
	})
}
