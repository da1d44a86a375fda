package rdm

import (
	"bytes"
	"slices"
	"testing"

	"limn/dmx/dmxtest"
)

func seed(f *testing.F, prefixes ...string) {
	for _, v := range dmxtest.Vectors(f, prefixes...) {
		f.Add(v.Bytes)
	}
}

func FuzzMessage(f *testing.F) {
	seed(f, "rdm_")
	f.Fuzz(func(t *testing.T, b []byte) {
		var m Message
		if m.Decode(b) != nil {
			return
		}
		if back := m.AppendTo(nil); !bytes.HasPrefix(b, back) {
			t.Errorf("% x comes back as % x", b, back)
		}
		// What a device could make of it must not upset anything either.
		_, _ = decodeReason(m.Data)
		_, _ = decodeSupported(m.Data)
		_, _, _ = decodePersonality(m.Data)
	})
}

func FuzzFound(f *testing.F) {
	seed(f, "rdm_disc_unique_branch_response")
	f.Fuzz(func(t *testing.T, b []byte) {
		u, err := DecodeFound(b)
		if err != nil {
			return
		}
		if whole := AppendFound(nil, u); !bytes.HasSuffix(whole, b) {
			t.Errorf("% x is %v, which comes back as % x", b, u, whole)
		}
	})
}

func FuzzCarried(f *testing.F) {
	seed(f, "artrdm")
	f.Fuzz(func(t *testing.T, b []byte) {
		before := slices.Clone(b)
		var c, again Carried
		if c.Decode(b) != nil {
			return
		}
		if !bytes.Equal(b, before) {
			t.Error("decoding changed the bytes")
		}
		if err := again.Decode(c.AppendTo(nil)); err != nil || !equalMessages(again.Message, c.Message) || again.PortAddress != c.PortAddress {
			t.Errorf("%+v comes back as %+v, %v", c, again, err)
		}
	})
}

func FuzzTables(f *testing.F) {
	seed(f, "arttod")
	f.Fuzz(func(t *testing.T, b []byte) {
		var d, d2 TodData
		if d.Decode(b) == nil {
			if len(d.UIDs) > MaxBlock {
				t.Errorf("%d devices in a part", len(d.UIDs))
			}
			if err := d2.Decode(d.AppendTo(nil)); err != nil || !slices.Equal(d2.UIDs, d.UIDs) || d2.Total != d.Total || d2.NotReady != d.NotReady {
				t.Errorf("%+v comes back as %+v, %v", d, d2, err)
			}
		}
		var r, r2 TodRequest
		if r.Decode(b) == nil {
			if err := r2.Decode(r.AppendTo(nil)); err != nil || !bytes.Equal(r2.Addresses, r.Addresses) || r2.Net != r.Net {
				t.Errorf("%+v comes back as %+v, %v", r, r2, err)
			}
		}
		var c, c2 TodControl
		if c.Decode(b) == nil {
			if err := c2.Decode(c.AppendTo(nil)); err != nil || c2 != c {
				t.Errorf("%+v comes back as %+v, %v", c, c2, err)
			}
		}
	})
}

func FuzzParameters(f *testing.F) {
	f.Add([]byte{1, 0, 0x12, 0x34, 1, 9, 0, 1, 2, 3, 0, 4, 2, 3, 0, 101, 0, 1, 5})
	f.Add([]byte("\x02\x00\x044 channels"))
	f.Fuzz(func(t *testing.T, b []byte) {
		var i Info
		if i.Decode(b) == nil && (i.StartAddress < 0 || i.StartAddress > lastAddress || i.Footprint > lastAddress) {
			t.Errorf("%+v", i)
		}
		var m Mode
		if m.Decode(b) == nil && (m.Number < 1 || m.Slots > lastAddress) {
			t.Errorf("%+v", m)
		}
		if s, err := DecodeLabel(b); err == nil && bytes.ContainsAny([]byte(s), "\x00\x1b\n\x07") {
			t.Errorf("label %q", s)
		}
	})
}
