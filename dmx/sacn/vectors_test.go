package sacn

import (
	"bytes"
	"errors"
	"net/netip"
	"strings"
	"testing"

	"limn/dmx/dmxtest"
)

// field gives a field of a vector, or want when the vector does not say it.
func field[T any](p *dmxtest.Packet, name string, want T) T {
	if v, ok := p.Fields[name].(T); ok {
		return v
	}
	return want
}

// Every golden data packet of testdata/wire is read as others read it, and written again byte for byte.
func TestGoldenData(t *testing.T) {
	n := 0
	for _, p := range dmxtest.Vectors(t, "e131_data_") {
		if !p.Valid {
			continue
		}
		n++
		var d Data
		if err := d.Decode(p.Bytes); err != nil {
			t.Errorf("%s: %v", p.Name, err)
			continue
		}
		for name, got := range map[string]int{
			"priority": int(d.Priority), "sync_address": int(d.Sync), "sequence": int(d.Sequence), "universe": int(d.Universe),
			"property_count": len(d.Slots) + 1, "start_code": int(d.StartCode), "slots": len(d.Slots),
		} {
			if want := p.Int(t, name); got != want {
				t.Errorf("%s: %s is read as %d, want %d", p.Name, name, got, want)
			}
		}
		for name, flag := range map[string]Options{"preview": Preview, "stream_terminated": StreamTerminated, "force_sync": ForceSync} {
			if got, want := d.Options&flag != 0, p.Fields[name].(bool); got != want {
				t.Errorf("%s: %s is read as %v", p.Name, name, got)
			}
		}
		if got := d.CID.String(); got != p.Fields["cid"] {
			t.Errorf("%s: CID is read as %s", p.Name, got)
		}
		if got := CleanName(d.Name); got != p.Fields["source_name"] {
			t.Errorf("%s: name is read as %q", p.Name, got)
		}
		if got := Group4(d.Universe).String(); got != p.Fields["multicast_v4"] {
			t.Errorf("%s: goes to %s", p.Name, got)
		}
		want := bytes.Clone(p.Bytes)
		want[optionsAt] &= byte(knownOptions) // reserved bits are ignored when read and zero when written
		got, err := d.Append([]byte("before"))
		if err != nil || !bytes.Equal(got, append([]byte("before"), want...)) {
			t.Errorf("%s is written as %x (%v), want %x", p.Name, got, err, want)
		}
		if len(d.Slots) == 512 && d.StartCode == 0 {
			e, err := NewEncoder(d)
			if err != nil {
				t.Fatal(err)
			}
			if got := e.Encode(d.Sequence, (*[512]byte)(d.Slots)); !bytes.Equal(got, want) {
				t.Errorf("%s is encoded as %x", p.Name, got)
			}
		}
	}
	if n < 11 {
		t.Errorf("only %d golden packets", n)
	}
}

// The synchronization packets, the worked example of ANSI E1.31-2018, table B-14, among them.
func TestGoldenSync(t *testing.T) {
	n := 0
	for _, p := range dmxtest.Vectors(t, "e131_sync_") {
		if !p.Valid {
			continue
		}
		n++
		var s Sync
		if err := s.Decode(p.Bytes); err != nil {
			t.Errorf("%s: %v", p.Name, err)
			continue
		}
		if int(s.Sequence) != p.Int(t, "sequence") || float64(s.Address) != p.Fields["sync_address"] {
			t.Errorf("%s is read as %+v", p.Name, s)
		}
		if got := s.CID.String(); got != field(&p, "cid", "6f0d4a1e-2b3c-4d5e-8f60-718293a4b5c6") {
			t.Errorf("%s: CID is read as %s", p.Name, got)
		}
		want := bytes.Clone(p.Bytes)
		want[47], want[48] = 0, 0 // reserved
		if got, err := s.Append(nil); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is written as %x (%v)", p.Name, got, err)
		}
	}
	if n < 3 {
		t.Errorf("only %d golden packets", n)
	}
}

func TestGoldenDiscovery(t *testing.T) {
	n := 0
	for _, p := range dmxtest.Vectors(t, "e131_discovery_") {
		if !p.Valid {
			continue
		}
		n++
		var d DiscoveryPage
		if err := d.Decode(p.Bytes); err != nil {
			t.Errorf("%s: %v", p.Name, err)
			continue
		}
		if int(d.Page) != p.Int(t, "page") || int(d.Last) != p.Int(t, "last_page") {
			t.Errorf("%s is read as page %d of %d", p.Name, d.Page, d.Last)
		}
		if list, ok := p.Fields["universes"].([]any); ok {
			if len(list) != len(d.Universes) {
				t.Fatalf("%s is read as %v", p.Name, d.Universes)
			}
			for i, u := range list {
				if float64(d.Universes[i]) != u.(float64) {
					t.Errorf("%s is read as %v", p.Name, d.Universes)
				}
			}
		} else if len(d.Universes) != p.Int(t, "universe_count") || int(d.Universes[0]) != p.Int(t, "first") || int(d.Universes[511]) != p.Int(t, "last") {
			t.Errorf("%s is read as %v", p.Name, d.Universes)
		}
		if got, err := d.Append(nil); err != nil || !bytes.Equal(got, p.Bytes) {
			t.Errorf("%s is written as %x (%v)", p.Name, got, err)
		}
	}
	if n < 3 {
		t.Errorf("only %d golden packets", n)
	}
}

// decodeAny decodes what KindOf says a packet is.
func decodeAny(b []byte) error {
	kind, err := KindOf(b)
	if err != nil {
		return err
	}
	switch kind {
	case KindData:
		return new(Data).Decode(b)
	case KindSync:
		return new(Sync).Decode(b)
	default:
		return new(DiscoveryPage).Decode(b)
	}
}

// reasons is the error that each malformed packet must be refused with.
var reasons = map[string]Malformed{
	"e131_preamble_17": ErrPreamble, "e131_postamble_1": ErrPreamble, "e131_wrong_acn_id": ErrID,
	"e131_root_flags_6": ErrRootLength, "e131_root_length_long": ErrRootLength, "e131_root_length_short": ErrRootLength,
	"e131_root_vector_3": ErrRootVector, "e131_data_under_vector_8": ErrListLength,
	"e131_framing_flags_0": ErrFramingLength, "e131_framing_length_lies": ErrFramingLength, "e131_framing_vector_1": ErrFramingVector,
	"e131_name_not_terminated": ErrName, "e131_priority_201": ErrPriority,
	"e131_universe_0": ErrUniverse, "e131_universe_64000": ErrUniverse, "e131_data_on_64214": ErrUniverse,
	"e131_dmp_flags_0": ErrDMPLength, "e131_dmp_length_lies": ErrDMPLength, "e131_dmp_vector_1": ErrDMPHeader,
	"e131_dmp_addrtype_a2": ErrDMPHeader, "e131_dmp_first_1": ErrDMPHeader, "e131_dmp_increment_2": ErrDMPHeader,
	"e131_count_0": ErrCount, "e131_count_514": ErrCount, "e131_count_lies": ErrCount, "e131_count_65535": ErrCount,
	"e131_truncated_in_root": ErrShort, "e131_truncated_in_dmp": ErrRootLength, "e131_truncated_data": ErrRootLength,
	"e131_65k_datagram": ErrRootLength, "e131_sync_address_0": ErrSyncAddress, "e131_sync_truncated": ErrRootLength,
	"e131_discovery_odd_list": ErrListLength, "e131_discovery_unsorted": ErrListOrder, "e131_discovery_page_gt_last": ErrPage,
	"e131_discovery_vector_2": ErrListVector, "e131_discovery_513": ErrListLength,
}

func TestMalformed(t *testing.T) {
	seen := 0
	for _, p := range dmxtest.Vectors(t, "e131_", "any_empty") {
		if p.Valid {
			continue
		}
		err := decodeAny(p.Bytes)
		var m Malformed
		if !errors.As(err, &m) {
			t.Errorf("%s (%s): taken or refused without a type: %v", p.Name, p.Why, err)
		}
		if want, ok := reasons[p.Name]; ok {
			seen++
			if m != want {
				t.Errorf("%s (%s) is refused as %q, want %q", p.Name, p.Why, m, want)
			}
		} else if !strings.HasPrefix(p.Name, "any_") {
			t.Errorf("%s: which error is meant is not written down (%v)", p.Name, err)
		}
	}
	if seen != len(reasons) {
		t.Errorf("%d malformed packets, want %d", seen, len(reasons))
	}
}

// Every truncation of a good packet is refused, one byte more is too, and what was decoded before stays.
func TestEveryTruncationIsRefused(t *testing.T) {
	for _, p := range dmxtest.Vectors(t, "e131_") {
		if !p.Valid {
			continue
		}
		for n := range p.Bytes {
			if decodeAny(p.Bytes[:n]) == nil {
				t.Errorf("%s cut to %d bytes is taken", p.Name, n)
			}
		}
		if decodeAny(append(bytes.Clone(p.Bytes), 0)) == nil {
			t.Errorf("%s with a byte more is taken", p.Name)
		}
	}
}

func TestWhatCannotBeEncoded(t *testing.T) {
	id := DeriveCID(CID{1}, "test")
	good := Data{CID: id, Universe: 1}
	for want, change := range map[string]func(*Data){
		"a CID of all zeros":           func(d *Data) { d.CID = CID{} },
		"priority 201 is out of range": func(d *Data) { d.Priority = 201 },
		"synchronization address 64000": func(d *Data) {
			d.Sync = 64000
		},
		"universe 0 is out of range":     func(d *Data) { d.Universe = 0 },
		"universe 64214 is out of range": func(d *Data) { d.Universe = DiscoveryUniverse },
		"513 slots are too many":         func(d *Data) { d.Slots = make([]byte, 513) },
	} {
		d := good
		change(&d)
		if b, err := d.Append(nil); err == nil || !strings.Contains(err.Error(), want) || b != nil {
			t.Errorf("%q: %v", want, err)
		}
	}
	for _, s := range []Sync{{Address: 1}, {CID: id}, {CID: id, Address: 64000}} {
		if b, err := s.Append(nil); err == nil || b != nil {
			t.Errorf("%+v is encoded", s)
		}
	}
	for _, p := range []DiscoveryPage{
		{},
		{CID: id, Page: 1},
		{CID: id, Universes: []uint16{0}},
		{CID: id, Universes: []uint16{2, 2}},
		{CID: id, Universes: []uint16{64000}},
		{CID: id, Universes: make([]uint16, 513)},
	} {
		if b, err := p.Append(nil); err == nil || b != nil {
			t.Errorf("%+v is encoded", p)
		}
	}
}

// ANSI E1.31-2018, 9.3.1 and 9.3.2.
func TestGroups(t *testing.T) {
	var cases []struct {
		Universe uint16
		V4, V6   string
	}
	dmxtest.Table(t, "e131_multicast", &cases)
	for _, c := range cases {
		if Group4(c.Universe).String() != c.V4 || Group6(c.Universe) != netip.MustParseAddr(c.V6) {
			t.Errorf("universe %d goes to %v and %v, want %s and %s", c.Universe, Group4(c.Universe), Group6(c.Universe), c.V4, c.V6)
		}
	}
	if len(cases) < 6 {
		t.Errorf("only %d cases", len(cases))
	}
}

// ANSI E1.31-2018, 6.7.2.
func TestSequenceRule(t *testing.T) {
	var cases []struct {
		Last, Next byte
		Diff       int
		Accept     bool
	}
	dmxtest.Table(t, "e131_sequence", &cases)
	for _, c := range cases {
		v, missing := judge(c.Last, c.Next)
		if v.used() != c.Accept || missing != max(c.Diff-1, 0) {
			t.Errorf("%d after %d: %v, %d missing", c.Next, c.Last, v, missing)
		}
		if (v == repeated) != (c.Diff == 0) || (v == restarted) != (c.Diff <= -20) {
			t.Errorf("%d after %d is taken for %v", c.Next, c.Last, v)
		}
	}
	if len(cases) < 19 {
		t.Errorf("only %d cases", len(cases))
	}
}
