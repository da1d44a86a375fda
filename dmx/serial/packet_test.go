package serial

import (
	"bytes"
	"slices"
	"testing"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
)

func TestGoldenPackets(t *testing.T) {
	for _, v := range dmxtest.Vectors(t, "widget_") {
		p, err := DecodePacket(v.Bytes)
		if v.Valid != (err == nil) {
			t.Errorf("%s: decoded with error %v, want valid = %v (%s)", v.Name, err, v.Valid, v.Why)
			continue
		}
		if err == nil && !bytes.Equal(p.AppendTo(nil), v.Bytes) {
			t.Errorf("%s: comes back as % x", v.Name, p.AppendTo(nil))
		}
	}
}

func TestEveryTruncationIsRefused(t *testing.T) {
	for _, v := range dmxtest.Vectors(t, "widget_send_dmx_512", "widget_get_params_reply", "widget_payload_with_delimiters") {
		for n := range v.Bytes {
			if _, err := DecodePacket(v.Bytes[:n]); err == nil {
				t.Errorf("%s: the first %d bytes pass for a packet", v.Name, n)
			}
		}
	}
}

// The widget's own packet is the golden one, made ready once and changed in place.
func TestWidgetSendsTheGoldenPacket(t *testing.T) {
	for _, v := range dmxtest.Vectors(t, "widget_send_dmx_512") {
		p, err := DecodePacket(v.Bytes)
		if err != nil {
			t.Fatal(err)
		}
		var f dmx.Frame
		copy(f[:], p.Payload[1:])
		b := &bench{}
		if err := newWidget(b).send(&f); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(b.bytes, v.Bytes) {
			t.Errorf("%s: sent % x", v.Name, b.bytes)
		}
	}
}

func TestWidgetAllocs(t *testing.T) {
	w := newWidget(&quiet{})
	var f dmx.Frame
	if n := testing.AllocsPerRun(100, func() {
		if err := w.send(&f); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations for each packet, want 0", n)
	}
}

func TestParametersOfTheGoldenReply(t *testing.T) {
	for _, v := range dmxtest.Vectors(t, "widget_get_params_reply") {
		p, err := DecodePacket(v.Bytes)
		if err != nil {
			t.Fatal(err)
		}
		got, err := DecodeParameters(p.Payload)
		if err != nil {
			t.Fatal(err)
		}
		want := Parameters{
			Firmware: uint16(v.Int(t, "firmware_lsb") | v.Int(t, "firmware_msb")<<8),
			Break:    time.Duration(v.Int(t, "break_units")) * breakUnit,
			Mark:     time.Duration(v.Int(t, "mab_units")) * breakUnit,
			Rate:     v.Int(t, "rate_hz"),
		}
		if got != want {
			t.Errorf("got %+v, want %+v", got, want)
		}
	}
	if _, err := DecodeParameters(make([]byte, parametersBytes-1)); err == nil {
		t.Error("a short reply passes")
	}
}

// A stream may begin anywhere, be cut anywhere, and hold the delimiters in its payloads.
func TestScannerFindsPacketsInAnyPieces(t *testing.T) {
	var stream []byte
	var want [][]byte
	noise := [][]byte{{}, {packetEnd}, {packetStart}, {packetStart, 6, 0xFF, 0xFF}, {1, 2, 3}}
	for i, v := range dmxtest.Vectors(t, "widget_send_dmx", "widget_payload_with_delimiters", "widget_get_params") {
		stream = append(stream, noise[i%len(noise)]...)
		stream = append(stream, v.Bytes...)
		want = append(want, v.Bytes)
	}
	for piece := 1; piece < len(stream); piece += 13 {
		var s Scanner
		var got [][]byte
		for chunk := range slices.Chunk(stream, piece) {
			s.Write(chunk, func(p Packet) { got = append(got, p.AppendTo(nil)) })
		}
		if !slices.EqualFunc(got, want, bytes.Equal) {
			t.Fatalf("in pieces of %d: %d packets of %d found, %d bytes passed over", piece, len(got), len(want), s.Refused)
		}
	}
}

func FuzzScanner(f *testing.F) {
	for _, v := range dmxtest.Vectors(f, "widget_") {
		f.Add(v.Bytes, uint8(7))
	}
	f.Fuzz(func(t *testing.T, stream []byte, piece uint8) {
		var whole, pieces Scanner
		var a, b [][]byte
		whole.Write(stream, func(p Packet) { a = append(a, p.AppendTo(nil)) })
		for chunk := range slices.Chunk(stream, int(piece)+1) {
			pieces.Write(chunk, func(p Packet) { b = append(b, p.AppendTo(nil)) })
		}
		if !slices.EqualFunc(a, b, bytes.Equal) || whole.Refused != pieces.Refused {
			t.Errorf("found %d packets in one piece and %d in pieces", len(a), len(b))
		}
		held := len(whole.buf)
		for _, p := range a {
			held += len(p)
			if !bytes.Contains(stream, p) {
				t.Errorf("packet % x is not in the stream", p)
			}
			if _, err := DecodePacket(p); err != nil {
				t.Errorf("a found packet does not decode: %v", err)
			}
		}
		if held+whole.Refused != len(stream) {
			t.Errorf("%d bytes in packets, %d passed over, of %d", held, whole.Refused, len(stream))
		}
	})
}

func FuzzDecodeParameters(f *testing.F) {
	f.Add([]byte{1, 2, 9, 1, 40})
	f.Fuzz(func(t *testing.T, payload []byte) {
		if p, err := DecodeParameters(payload); err == nil && (p.Rate < 0 || p.Break < 0) {
			t.Errorf("%+v", p)
		}
	})
}
