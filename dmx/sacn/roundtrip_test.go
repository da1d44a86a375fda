package sacn

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"limn/dmx/dmxtest"
)

func drawCID(t *rapid.T) CID {
	var c CID
	copy(c[:], rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "cid"))
	c[0] |= 1 // never all zeros
	return c
}

func drawName(t *rapid.T) []byte {
	return []byte(rapid.StringMatching(`[^\x00]{0,63}`).Filter(func(s string) bool { return len(s) <= MaxName }).Draw(t, "name"))
}

func TestDataRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := Data{
			CID: drawCID(t), Name: drawName(t), Priority: rapid.ByteRange(0, 200).Draw(t, "priority"),
			Sync: rapid.Uint16Range(0, 63999).Draw(t, "sync"), Sequence: rapid.Byte().Draw(t, "sequence"),
			Options: Options(rapid.Byte().Draw(t, "options")) & knownOptions, Universe: rapid.Uint16Range(1, 63999).Draw(t, "universe"),
			StartCode: rapid.Byte().Draw(t, "start code"), Slots: rapid.SliceOfN(rapid.Byte(), 0, 512).Draw(t, "slots"),
		}
		b, err := in.Append(nil)
		if err != nil {
			t.Fatal(err)
		}
		var out Data
		if err := out.Decode(b); err != nil {
			t.Fatal(err)
		}
		if out.CID != in.CID || !bytes.Equal(out.Name, in.Name) || out.Priority != in.Priority || out.Sync != in.Sync || out.Sequence != in.Sequence ||
			out.Options != in.Options || out.Universe != in.Universe || out.StartCode != in.StartCode || !bytes.Equal(out.Slots, in.Slots) {
			t.Fatalf("%+v became %+v", in, out)
		}
	})
}

func TestSyncRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := Sync{CID: drawCID(t), Sequence: rapid.Byte().Draw(t, "sequence"), Address: rapid.Uint16Range(1, 63999).Draw(t, "address")}
		b, err := in.Append(nil)
		var out Sync
		if err != nil || out.Decode(b) != nil || out != in {
			t.Fatalf("%+v became %+v (%v)", in, out, err)
		}
	})
}

// A list of any length is cut into pages from which the whole can be put together again.
func TestPagesRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cid, name := drawCID(t), drawName(t)
		list := rapid.SliceOfNDistinct(rapid.Uint16Range(1, 63999), 0, 2000, rapid.ID).Draw(t, "list")
		slices.Sort(list)
		packets, err := pages(cid, string(name), list)
		if err != nil {
			t.Fatal(err)
		}
		var got []uint16
		var p DiscoveryPage
		for i, b := range packets {
			if err := p.Decode(b); err != nil {
				t.Fatal(err)
			}
			if int(p.Page) != i || int(p.Last) != len(packets)-1 || p.CID != cid || !bytes.Equal(p.Name, name) {
				t.Fatalf("page %d is %+v", i, p)
			}
			got = append(got, p.Universes...)
		}
		if !slices.Equal(got, list) {
			t.Fatalf("%d universes became %d", len(list), len(got))
		}
	})
}

func TestPagesOfTheLongestList(t *testing.T) {
	all := make([]uint16, MaxUniverse)
	for i := range all {
		all[i] = uint16(i + 1)
	}
	packets, err := pages(CID{1}, "all", all)
	if err != nil || len(packets) != 125 {
		t.Errorf("%d pages, %v", len(packets), err)
	}
}

func TestNames(t *testing.T) {
	for in, want := range map[string]string{
		"Kittiwake":                  "Kittiwake",
		"a\x00b":                     "a",
		"red\x1b[31m":                "red[31m",
		"line\nbreak\ttab":           "line break tab",
		"\u202eback":                 "back", // a mark that turns the reading direction
		"T\u00e9l\u00e9":             "T\u00e9l\u00e9",
		"\xffx":                      "?x",
		strings.Repeat("x", 70):      strings.Repeat("x", 63),
		strings.Repeat("\u00e9", 40): strings.Repeat("\u00e9", 31), // 62 bytes; the 32nd would be cut through
	} {
		if got := CutName(in); got != want {
			t.Errorf("%q becomes %q, want %q", in, got, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := CutName(string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")))
		if len(s) > MaxName || !utf8.ValidString(s) || strings.ContainsFunc(s, func(r rune) bool { return r < ' ' || r == 0x7f }) || CutName(s) != s {
			t.Fatalf("%q", s)
		}
	})
}

func seeds(f *testing.F) {
	for _, p := range dmxtest.Vectors(f, "e131_", "any_empty") {
		if len(p.Bytes) < 2000 {
			f.Add(p.Bytes)
		}
	}
}

// What a decoder takes, its encoder writes again; reserved bits apart.
func FuzzDecodeData(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, b []byte) {
		var d Data
		if d.Decode(b) != nil {
			return
		}
		got, err := d.Append(nil)
		if d.CID == (CID{}) && err != nil {
			return // others may send what we never would
		}
		want := bytes.Clone(b)
		want[optionsAt] &= byte(knownOptions)
		clear(want[nameAt+len(d.Name) : priorityAt]) // nobody reads what follows the zero
		if err != nil || !bytes.Equal(got, want) {
			t.Fatalf("%x became %x (%v)", want, got, err)
		}
	})
}

func FuzzDecodeSync(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, b []byte) {
		var s Sync
		if s.Decode(b) != nil || s.CID == (CID{}) {
			return
		}
		want := append(bytes.Clone(b[:47]), 0, 0)
		if got, err := s.Append(nil); err != nil || !bytes.Equal(got, want) {
			t.Fatalf("%x became %x (%v)", want, got, err)
		}
	})
}

func FuzzDecodeDiscovery(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, b []byte) {
		var p DiscoveryPage
		if p.Decode(b) != nil || p.CID == (CID{}) {
			return
		}
		want := bytes.Clone(b)
		clear(want[nameAt+len(p.Name) : listAt])
		if got, err := p.Append(nil); err != nil || !bytes.Equal(got, want) {
			t.Fatalf("%x became %x (%v)", want, got, err)
		}
	})
}

func FuzzParseCID(f *testing.F) {
	f.Add("6f0d4a1e-2b3c-4d5e-8f60-718293a4b5c6")
	f.Add("EF07C8DD-0064-4401-A3A2-459EF8E6143E")
	f.Add("00000000-0000-0000-0000-000000000000")
	f.Add("6f0d4a1e2b3c4d5e8f60718293a4b5c6")
	f.Fuzz(func(t *testing.T, s string) {
		c, err := ParseCID(s)
		if err != nil {
			return
		}
		if c.String() != strings.ToLower(s) {
			t.Fatalf("%q became %v", s, c)
		}
	})
}

// Whatever arrives, a receiver stays whole, and what drives light is levels alone.
func FuzzHear(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, b []byte) {
		var d Datagram
		used := 0
		r := &Receiver{table: newTable(), handle: func(d *Datagram) {
			used++
			if d.StartCode != 0 || d.Options&(Preview|StreamTerminated) != 0 || d.Priority > MaxPriority || len(d.Slots) > 512 {
				t.Fatalf("%+v drives light", d)
			}
		}}
		for range 2 { // the second time it is a repeated one
			r.hear(b, &d, new(Sync), new(DiscoveryPage))
		}
		c := r.Counters()
		if used > 1 || c.Malformed != 0 && c.Malformed != 2 || len(r.Universes()) > 1 || len(r.Discovered()) > 1 {
			t.Fatalf("%d used, %+v", used, c)
		}
	})
}
