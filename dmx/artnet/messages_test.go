package artnet

import (
	"bytes"
	"errors"
	"fmt"
	"net/netip"
	"strings"
	"testing"

	"github.com/jsimonetti/go-artnet/packet"
	"github.com/jsimonetti/go-artnet/packet/code"
	"pgregory.net/rapid"

	"limn/dmx/dmxtest"
)

// message is what all messages but ArtDmx have in common.
type message interface {
	Decode(b []byte) error
	AppendTo(dst []byte) []byte
}

// kinds are the messages by the names of their packets in testdata/wire.
var kinds = []struct {
	prefix string
	make   func() message
	least  int // bytes that are taken
}{
	{"artpoll_", func() message { return new(PollPacket) }, 12},
	{"artpollreply_", func() message { return new(PollReply) }, 198},
	{"arttimecode_", func() message { return new(TimeCode) }, 19},
	{"artaddress_", func() message { return new(Address) }, 107},
	{"artsync", func() message { return syncOf{} }, 14},
}

// syncOf makes a message of ArtSync, which has no content.
type syncOf struct{}

func (syncOf) Decode(b []byte) error      { return DecodeSync(b) }
func (syncOf) AppendTo(dst []byte) []byte { return AppendSync(dst) }

// Golden packets, as others decoded them (testdata/wire), both ways. What is shorter than we write it
// must be the beginning of what we write.
func TestGoldenMessages(t *testing.T) {
	for _, k := range kinds {
		for _, p := range dmxtest.Vectors(t, k.prefix) {
			if !p.Valid {
				continue
			}
			m := k.make()
			if err := m.Decode(p.Bytes); err != nil {
				t.Errorf("%s: %v", p.Name, err)
				continue
			}
			ours := m.AppendTo([]byte("before"))
			if !bytes.HasPrefix(ours, []byte("before")) || !bytes.HasPrefix(ours[6:], p.Bytes) {
				t.Errorf("%s:\n got %x\nwant %x", p.Name, ours[6:], p.Bytes)
			}
			for name, want := range p.Fields {
				got, ok := fieldOf(m, name)
				if ok && got != fmt.Sprint(want) {
					t.Errorf("%s: %s is %s, want %v", p.Name, name, got, want)
				}
			}
		}
	}
}

// fieldOf gives a field by its name in the vectors, printed as JSON's values are.
func fieldOf(m message, name string) (string, bool) {
	var v any
	switch m := m.(type) {
	case *PollPacket:
		v = map[string]any{
			"flags": m.Flags, "diag_priority": m.DiagPriority, "target_top": m.TargetTop, "target_bottom": m.TargetBottom,
			"esta": m.Esta, "oem": m.Oem, "targeted": m.Flags&PollTargeted != 0,
		}[name]
	case *TimeCode:
		v = map[string]any{
			"stream_id": m.Stream, "hours": m.Hours, "minutes": m.Minutes, "seconds": m.Seconds, "frames": m.Frame, "type": int(m.Rate),
		}[name]
	case *Address:
		v = map[string]any{
			"net_switch": m.NetSwitch, "bind_index": m.BindIndex, "short_name": Text(m.ShortName[:]), "long_name": Text(m.LongName[:]),
			"sub_switch": m.SubSwitch, "acn_priority": m.AcnPriority, "command": m.Command, "sw_in": m.SwIn, "sw_out": m.SwOut,
		}[name]
	case *PollReply:
		var outputs []uint16
		for i := range portsPerReply {
			if a, ok := m.Output(i); ok {
				outputs = append(outputs, a)
			}
		}
		v = map[string]any{
			"ip": netip.AddrFrom4(m.IP), "port": m.Port, "version": m.Version, "net_switch": m.NetSwitch, "sub_switch": m.SubSwitch,
			"oem": m.Oem, "ubea": m.Ubea, "status1": m.Status1, "esta": m.Esta, "short_name": Text(m.ShortName[:]),
			"long_name": Text(m.LongName[:]), "node_report": Text(m.Report[:]), "num_ports": m.NumPorts, "port_types": m.PortTypes,
			"good_input": m.GoodInput, "good_output_a": m.GoodOutput, "sw_in": m.SwIn, "sw_out": m.SwOut, "acn_priority": m.AcnPriority,
			"sw_macro": m.Macro, "sw_remote": m.Remote, "style": int(m.Style),
			"mac":                   fmt.Sprintf("%02x:%02x:%02x:%02x:%02x:%02x", m.MAC[0], m.MAC[1], m.MAC[2], m.MAC[3], m.MAC[4], m.MAC[5]),
			"output_port_addresses": outputs, "bind_ip": netip.AddrFrom4(m.BindIP), "bind_index": m.BindIndex, "status2": m.Status2,
			"good_output_b": m.GoodOutputB, "status3": m.Status3, "default_resp_uid": fmt.Sprintf("%x:%x", m.RespUID[:2], m.RespUID[2:]),
			"user": m.User, "refresh_rate": m.RefreshRate, "background_queue_policy": m.BackgroundQueuePolicy,
		}[name]
	}
	return fmt.Sprint(v), v != nil
}

// The field names of the vectors that the table above must know, so that a misspelt one does not pass unseen.
func TestGoldenFieldsAreLookedAt(t *testing.T) {
	skip := "opcode prot_ver aux type_name command_name programs_port_address"
	for _, k := range kinds {
		for _, p := range dmxtest.Vectors(t, k.prefix) {
			for name := range p.Fields {
				if _, ok := fieldOf(k.make(), name); !ok && !strings.Contains(skip, name) {
					t.Errorf("%s: nobody looks at %s", p.Name, name)
				}
			}
		}
	}
}

func TestMalformedMessages(t *testing.T) {
	n := 0
	for _, k := range kinds {
		for _, p := range dmxtest.Vectors(t, k.prefix, "any_empty", "artnet_only", "artdmx_") {
			if p.Valid && !strings.HasPrefix(p.Name, "artdmx_") {
				continue
			}
			n++
			m := k.make()
			err := m.Decode(p.Bytes)
			var malformed Malformed
			if !errors.As(err, &malformed) {
				t.Errorf("%s as %s: %v (%s)", p.Name, k.prefix, err, p.Why)
			}
			if fmt.Sprint(m) != fmt.Sprint(k.make()) {
				t.Errorf("%s: refused, and yet it left %+v", p.Name, m)
			}
		}
	}
	if n < 50 {
		t.Errorf("only %d were tried", n)
	}
}

func TestEveryTruncationOfMessages(t *testing.T) {
	for _, k := range kinds {
		for _, p := range dmxtest.Vectors(t, k.prefix) {
			for n := 0; p.Valid && n <= len(p.Bytes); n++ {
				err := k.make().Decode(p.Bytes[:n:n])
				if (err == nil) != (n >= k.least) {
					t.Errorf("%s, its first %d bytes: %v", p.Name, n, err)
				}
			}
		}
	}
	d := DiagData{Priority: DiagLow, Text: "fan stopped"}
	for b, n := d.AppendTo(nil), 0; n < len(b); n++ {
		if err := new(DiagData).Decode(b[:n:n]); err == nil {
			t.Errorf("the first %d bytes of an ArtDiagData are taken", n)
		}
	}
}

// What is longer than the message is nobody's: a later revision may have added to it.
func TestLongerMessagesAreTaken(t *testing.T) {
	for _, k := range kinds {
		for _, p := range dmxtest.Vectors(t, k.prefix) {
			if !p.Valid {
				continue
			}
			a, b := k.make(), k.make()
			full := a.AppendTo(nil)
			if err := a.Decode(p.Bytes); err != nil {
				t.Fatal(err)
			}
			full = a.AppendTo(full[:0])
			if err := b.Decode(append(full, 1, 2, 3)); err != nil {
				t.Errorf("%s and three bytes: %v", p.Name, err)
			} else if k.prefix != "artpoll_" && fmt.Sprint(a) != fmt.Sprint(b) {
				t.Errorf("%s and three bytes is read as %+v", p.Name, b)
			}
		}
	}
}

// A second opinion: go-artnet reads what we write.
func TestMessagesAgainstGoArtnet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var r PollReply
		copy(r.IP[:], rapid.SliceOfN(rapid.Byte(), 4, 4).Draw(t, "ip"))
		r.Port, r.Version = Port, rapid.Uint16().Draw(t, "version")
		r.NumPorts = rapid.Uint16Range(0, 4).Draw(t, "ports")
		r.Style = Style(rapid.ByteRange(0, 6).Draw(t, "style"))
		r.BindIndex = rapid.Byte().Draw(t, "bind")
		address := rapid.Uint16Range(0, MaxPortAddress).Draw(t, "address")
		r.SetOutput(2, address)
		SetText(r.ShortName[:], rapid.String().Draw(t, "name"))
		var reply packet.ArtPollReplyPacket
		if err := reply.UnmarshalBinary(r.AppendTo(nil)); err != nil {
			t.Fatal(err)
		}
		if reply.IPAddress != r.IP || reply.VersionInfo != r.Version || reply.NumPorts != r.NumPorts || byte(reply.Style) != byte(r.Style) ||
			reply.BindIndex != r.BindIndex || reply.ShortName != r.ShortName || reply.NetSwitch != r.NetSwitch ||
			reply.SubSwitch != r.SubSwitch || reply.SwOut != r.SwOut || byte(reply.PortTypes[2]) != PortOutput {
			t.Fatalf("they read %+v of %+v", reply, r)
		}
		if a, ok := r.Output(2); !ok || a != address {
			t.Fatalf("output 2 is at %d, want %d", a, address)
		}

		code := TimeCodeAt(rapidTime(t), FrameRate(rapid.ByteRange(0, 3).Draw(t, "rate")))
		var theirs packet.ArtTimeCodePacket
		if err := theirs.UnmarshalBinary(code.AppendTo(nil)); err != nil {
			t.Fatal(err)
		}
		if theirs.Hours != code.Hours || theirs.Minutes != code.Minutes || theirs.Seconds != code.Seconds ||
			theirs.Frames != code.Frame || theirs.Type != byte(code.Rate) {
			t.Fatalf("they read %+v of %+v", theirs, code)
		}
	})
	var poll packet.ArtPollPacket
	p := PollPacket{Flags: PollOnChange | PollDiagnostics, DiagPriority: DiagHigh}
	if err := poll.UnmarshalBinary(p.AppendTo(nil)); err != nil || byte(poll.TalkToMe) != 6 || byte(poll.Priority) != 0x80 {
		t.Errorf("they read %+v (%v)", poll, err)
	}
	var address packet.ArtAddressPacket
	a := NewAddress(3)
	a.Command = CommandIdentify
	if err := address.UnmarshalBinary(a.AppendTo(nil)); err != nil || address.BindIndex != 3 || address.NetSwitch != 0x7f {
		t.Errorf("they read %+v (%v)", address, err)
	}
	var s packet.ArtSyncPacket
	if err := s.UnmarshalBinary(AppendSync(nil)); err != nil || s.OpCode != code.OpSync {
		t.Errorf("they read %+v (%v)", s, err)
	}
}

// The golden answers as a node: testdata/wire.
func TestNodesOfGoldenReplies(t *testing.T) {
	for name, want := range map[string]Node{
		"artpollreply_old_207": {
			Name: "node-1", LongName: "test node one", Report: "#0001 [0007] ok", Firmware: 258, Oem: 255, Esta: 32752, MAC: [6]byte{2, 0, 0, 0, 0, 1}, RDM: true,
			Ports: []NodePort{{Output: true, PortAddress: 4660, Active: true}},
		},
		"artpollreply_full_239": {
			Name: "node-1", LongName: "test node one", Report: "#0001 [0007] ok", Firmware: 258, Oem: 255, Esta: 32752, MAC: [6]byte{2, 0, 0, 0, 0, 1}, RDM: true,
			LongAddresses: true, DHCP: true, Refresh: 44, // Status2 is 14: 15 bits, DHCP can be and is used
			Ports: []NodePort{{Output: true, PortAddress: 4660, Active: true}},
		},
		"artpollreply_4ports": {
			Ports: []NodePort{ // GoodOutputA is 128, 136, 138, 0
				{Index: 0, Output: true, PortAddress: 1, Active: true},
				{Index: 1, Output: true, PortAddress: 2, Active: true, Merging: true},
				{Index: 2, Output: true, PortAddress: 3, Active: true, Merging: true, LTP: true},
				{Index: 3, Output: true, PortAddress: 4},
			},
		},
	} {
		var r PollReply
		if err := r.Decode(dmxtest.Vectors(t, name)[0].Bytes); err != nil {
			t.Fatal(err)
		}
		var got Node
		got.describe(&r)
		if name == "artpollreply_4ports" { // only its ports are in the vector
			got = Node{Ports: got.Ports}
		}
		if fmt.Sprintf("%+v", got) != fmt.Sprintf("%+v", want) {
			t.Errorf("%s:\n got %+v\nwant %+v", name, got, want)
		}
	}
}

func TestAddressThatProgramsAPort(t *testing.T) {
	a := NewAddress(1)
	a.SetOutput(0, 4660)
	want := dmxtest.Vectors(t, "artaddress_set_swout")[0].Bytes
	var golden Address
	if err := golden.Decode(want); err != nil {
		t.Fatal(err)
	}
	if a.NetSwitch != golden.NetSwitch || a.SubSwitch != golden.SubSwitch || a.SwOut != golden.SwOut || a.SwIn != golden.SwIn {
		t.Errorf("%+v, want %+v", a, golden)
	}
}

func TestTargetedPoll(t *testing.T) {
	p := PollPacket{Flags: PollTargeted, TargetTop: 16, TargetBottom: 4}
	for _, c := range []struct {
		have []uint16
		want bool
	}{{nil, false}, {[]uint16{3, 17}, false}, {[]uint16{4}, true}, {[]uint16{16}, true}, {[]uint16{1, 9}, true}} {
		if got := p.Asks(c.have...); got != c.want {
			t.Errorf("%v is asked: %v, want %v", c.have, got, c.want)
		}
	}
	if all := (&PollPacket{}); !all.Asks() {
		t.Error("a poll of all leaves out who has no port")
	}
	if b := p.AppendTo(nil); len(b) != 22 {
		t.Errorf("a targeted poll has %d bytes, want 22", len(b))
	}
	if b := (&PollPacket{Flags: PollOnChange}).AppendTo(nil); len(b) != 14 {
		t.Errorf("a plain poll has %d bytes, want 14", len(b))
	}
}

func TestDiagDataIsBounded(t *testing.T) {
	d := DiagData{Priority: DiagCritical, Port: 2, Text: strings.Repeat("é", 400)}
	b := d.AppendTo(nil)
	if len(b) != diagTextAt+diagMost {
		t.Fatalf("%d bytes", len(b))
	}
	var got DiagData
	if err := got.Decode(b); err != nil || got.Priority != DiagCritical || got.Port != 2 || got.Text != strings.Repeat("é", 255) {
		t.Errorf("%+v, %v", got, err)
	}
	b[diagLengthAt], b[diagLengthAt+1] = 2, 1 // 513
	if err := got.Decode(append(b, 0)); err != ErrText {
		t.Errorf("513 bytes of text: %v", err)
	}
}

func TestOpCodesHaveNames(t *testing.T) {
	for op := range 0x10000 {
		name := OpCode(op).String()
		if OpCode(op).known() != strings.HasPrefix(name, "Art") {
			t.Errorf("%#x is %s", op, name)
		}
	}
	if s := OpRdm.String(); s != "ArtRdm" {
		t.Errorf("0x8300 is %s", s)
	}
}

// What a stranger sends must not steer a terminal.
func TestTextIsCleaned(t *testing.T) {
	for in, want := range map[string]string{
		"node-1\x00\x00rest":            "node-1",
		"\x1b[31mred\x07":               "[31mred",
		"a\nb\tc\r":                     "a b c",
		"left\u202eright\u2066x":        "leftrightx",
		"zero\u200bwidth\ufeff":         "zerowidth",
		"caf\xc3\xa9 \xff":              "café ?",
		"\u0085next\u2028line":          "next line",
		"\x9b31m":                       "?31m",
		"  padded  ":                    "padded",
		strings.Repeat("x", 64):         strings.Repeat("x", 64),
		"\u061carabic mark\u200e\u200f": "arabic mark",
	} {
		if got := Text([]byte(in)); got != want {
			t.Errorf("%q is shown as %q, want %q", in, got, want)
		}
	}
	field := bytes.Repeat([]byte{9}, 5)
	if SetText(field, "aéé"); string(field) != "aé\x00\x00" {
		t.Errorf("cut to %q", field)
	}
}

// fuzzMessage holds a decoder to: no panic, nothing left after an error, and what is taken is written and read as the same.
func fuzzMessage(f *testing.F, make func() message, seeds ...string) {
	for _, p := range dmxtest.Vectors(f, append(seeds, "any_empty")...) {
		f.Add(p.Bytes)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		m := make()
		if err := m.Decode(b); err != nil {
			if fmt.Sprint(m) != fmt.Sprint(make()) {
				t.Fatalf("refused, and yet it left %+v", m)
			}
			return
		}
		again := make()
		if err := again.Decode(m.AppendTo(nil)); err != nil {
			t.Fatalf("%x was taken and is not again: %v", b, err)
		}
		// A plain poll does not write the targets that nobody needs.
		if p, ok := m.(*PollPacket); ok && p.Flags&PollTargeted == 0 {
			return
		}
		if fmt.Sprint(m) != fmt.Sprint(again) {
			t.Fatalf("%+v comes back as %+v", m, again)
		}
	})
}

func FuzzPoll(f *testing.F) { fuzzMessage(f, func() message { return new(PollPacket) }, "artpoll_") }

func FuzzPollReply(f *testing.F) {
	fuzzMessage(f, func() message { return new(PollReply) }, "artpollreply_")
}

func FuzzTimeCode(f *testing.F) {
	fuzzMessage(f, func() message { return new(TimeCode) }, "arttimecode_")
}

func FuzzAddress(f *testing.F) { fuzzMessage(f, func() message { return new(Address) }, "artaddress_") }

func FuzzSync(f *testing.F) { fuzzMessage(f, func() message { return syncOf{} }, "artsync") }

func FuzzDiagData(f *testing.F) {
	d := DiagData{Priority: DiagLow, Text: "fan stopped"}
	f.Add(d.AppendTo(nil))
	fuzzMessage(f, func() message { return new(DiagData) }, "artsync")
}

func FuzzText(f *testing.F) {
	f.Add([]byte("node-1\x00\x1b[31m"))
	f.Add([]byte("\u202e\x9b\xff"))
	f.Fuzz(func(t *testing.T, b []byte) {
		for _, r := range Text(b) {
			if r < 0x20 || r >= 0x7f && r < 0xa0 || r >= 0x200b && r <= 0x200f || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
				t.Fatalf("%q is shown with %U", b, r)
			}
		}
		if len(Text(b)) > 3*len(b) {
			t.Fatal("the text has grown")
		}
	})
}

// FuzzHear feeds a discovery what strangers could send it, many datagrams in a row: no panic, and nothing grows beyond its bounds.
func FuzzHear(f *testing.F) {
	for _, p := range dmxtest.Vectors(f, "artpoll", "artsync", "any_empty") {
		f.Add(p.Bytes, byte(9))
	}
	d := DiagData{Priority: DiagLow, Text: "fan stopped"}
	f.Add(d.AppendTo(nil), byte(7))
	f.Fuzz(func(t *testing.T, b []byte, from byte) {
		d := &Discovery{table: newTable(), wake: make(chan struct{}, 1)}
		d.cfg.delay = answerDelay
		all, _ := here()
		d.network = all[0]
		var r PollReply
		for i := range 8 {
			d.hear(b, netip.AddrPortFrom(netip.AddrFrom4([4]byte{10, 9, 9, from + byte(i)}), Port), &r)
			if len(b) > headerLength {
				b[headerLength+i%(len(b)-headerLength)]++
			}
		}
		if len(d.table.entries) > 8 || len(d.answers.due) > 8 {
			t.Fatalf("%d entries, %d answers", len(d.table.entries), len(d.answers.due))
		}
		for _, n := range d.table.view().nodes {
			if strings.ContainsAny(n.String()+n.Report, "\x1b\n\r\u202e") {
				t.Fatalf("shown: %q", n.String())
			}
		}
	})
}
