package rdm

import (
	"bytes"
	"encoding/hex"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"go.uber.org/goleak"
	"pgregory.net/rapid"

	"limn/dmx/artnet"
	"limn/dmx/dmxtest"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

func text(t testing.TB, v dmxtest.Packet, field string) string {
	t.Helper()
	s, ok := v.Fields[field].(string)
	if !ok {
		t.Fatalf("packet %s has no text %s", v.Name, field)
	}
	return s
}

// Messages as they are on the line, ANSI E1.20, decoded and put together again.
func TestGoldenMessages(t *testing.T) {
	for _, v := range dmxtest.Vectors(t, "rdm_dmx_start_address", "rdm_disc_unique_branch_all", "rdm_length_lies", "rdm_pdl_mismatch") {
		var m Message
		err := m.Decode(v.Bytes)
		if v.Valid != (err == nil) {
			t.Errorf("%s: decoded with %v, want valid = %v (%s)", v.Name, err, v.Valid, v.Why)
		}
		if err != nil || !v.Valid {
			if !reflect.DeepEqual(m, Message{}) {
				t.Errorf("%s: refused, and it left %+v", v.Name, m)
			}
			continue
		}
		if int(m.PID) != v.Int(t, "pid") || int(m.Class) != v.Int(t, "command_class") {
			t.Errorf("%s: %+v", v.Name, m)
		}
		if tn, ok := v.Fields["transaction"]; ok && float64(m.Transaction) != tn {
			t.Errorf("%s: transaction %d, want %v", v.Name, m.Transaction, tn)
		}
		if pd, ok := v.Fields["pd_hex"]; ok && hex.EncodeToString(m.Data) != pd {
			t.Errorf("%s: data % x, want %v", v.Name, m.Data, pd)
		}
		if got := m.AppendTo(nil); !bytes.Equal(got, v.Bytes) {
			t.Errorf("%s: comes back as % x", v.Name, got)
		}
		if m.PID == DiscUniqueBranch {
			low, high, err := DecodeBranch(m.Data)
			if err != nil || low.String() != text(t, v, "lower") || high.String() != text(t, v, "upper") || low != Lowest || high != Highest {
				t.Errorf("%s: from %v to %v, %v", v.Name, low, high, err)
			}
			if !bytes.Equal(AppendBranch(nil, low, high), m.Data) {
				t.Errorf("%s: the range comes back otherwise", v.Name)
			}
		}
	}
}

func TestEveryTruncatedMessageIsRefused(t *testing.T) {
	for _, v := range dmxtest.Vectors(t, "rdm_dmx_start_address", "rdm_disc_unique_branch_all") {
		for n := range v.Bytes {
			var m Message
			if m.Decode(v.Bytes[:n]) == nil {
				t.Errorf("%s: the first %d bytes pass", v.Name, n)
			}
		}
		for i := range v.Bytes { // one bit anywhere is noticed: the sum is of all bytes
			b := slices.Clone(v.Bytes)
			b[i] ^= 1
			var m Message
			if m.Decode(b) == nil {
				t.Errorf("%s: with byte %d changed it passes", v.Name, i)
			}
		}
	}
}

func TestWhatElseIsRefused(t *testing.T) {
	whole := Message{Source: MakeUID(Prototype, 1), Dest: MakeUID(Prototype, 2), Class: Get, PID: DeviceInfo}
	for why, change := range map[Malformed]func(m *Message){
		ErrClass: func(m *Message) { m.Class = 0x22 },
		ErrUID:   func(m *Message) { m.Source = Everybody },
	} {
		m := whole
		change(&m)
		var got Message
		if err := got.Decode(m.AppendTo(nil)); err != why {
			t.Errorf("%v instead of %v", err, why)
		}
	}
	for _, class := range []Class{0, 0x01, 0x12, 0x31 + 1, 0x40, 0xff} {
		if class.known() {
			t.Errorf("class %#02x is known", byte(class))
		}
	}
	// 232 bytes of data are one too many, however right the lengths are.
	b := whole.AppendTo(nil)[:dataAt]
	b[messageLengthAt], b[dataLengthAt] = dataAt+MaxData, MaxData
	b = append(b, make([]byte, MaxData)...)
	b = append(b, byte(sum(b)>>8), byte(sum(b)))
	var m Message
	if err := m.Decode(b); err != nil || len(m.Data) != MaxData {
		t.Errorf("%d bytes of data: %v", MaxData, err)
	}
	b = append(b[:dataAt+MaxData], 0, 0, 0)
	b[messageLengthAt], b[dataLengthAt] = 0, MaxData+1 // 256 does not fit a byte
	if err := m.Decode(b); err != ErrLength {
		t.Errorf("%d bytes of data: %v", MaxData+1, err)
	}
}

// The answer to a search, ANSI E1.20, 7.5.1, with its preamble shortened on the way.
func TestGoldenFound(t *testing.T) {
	for _, v := range dmxtest.Vectors(t, "rdm_disc_unique_branch_response") {
		for cut := range preambleLength + 1 {
			u, err := DecodeFound(v.Bytes[cut:])
			if err != nil || u.String() != text(t, v, "uid") {
				t.Errorf("%s without %d bytes: %v, %v", v.Name, cut, u, err)
			}
		}
		if got := AppendFound(nil, MakeUID(Prototype, 1)); !bytes.Equal(got, v.Bytes) {
			t.Errorf("%s: comes back as % x", v.Name, got)
		}
		for n := range v.Bytes {
			if u, err := DecodeFound(v.Bytes[:n]); err == nil {
				t.Errorf("the first %d bytes are %v", n, u)
			}
		}
		if _, err := DecodeFound(append([]byte{preamble}, v.Bytes...)); err == nil {
			t.Error("a preamble of eight passes")
		}
		// Two devices at once: their bits are laid over each other.
		both := slices.Clone(v.Bytes)
		for i, b := range AppendFound(nil, MakeUID(Prototype, 6)) {
			both[i] &= b
		}
		if u, err := DecodeFound(both); err == nil {
			t.Errorf("two at once are %v", u)
		}
	}
}

func TestGoldenTables(t *testing.T) {
	for _, v := range dmxtest.Vectors(t, "arttodrequest") {
		var r TodRequest
		if err := r.Decode(v.Bytes); err != nil {
			t.Fatal(err)
		}
		if int(r.Net) != v.Int(t, "net") || len(r.Addresses) != v.Int(t, "add_count") || !r.Asks(0x1234) || r.Asks(0x1235) || r.Asks(0x34) {
			t.Errorf("%s: %+v", v.Name, r)
		}
		if got := r.AppendTo(nil); !bytes.Equal(got, v.Bytes) {
			t.Errorf("%s: comes back as % x", v.Name, got)
		}
		for n := range todRequestLeast + 1 {
			if err := new(TodRequest).Decode(v.Bytes[:n]); err == nil {
				t.Errorf("%s: the first %d bytes pass", v.Name, n)
			}
		}
	}
	for _, v := range dmxtest.Vectors(t, "arttodcontrol") {
		var c TodControl
		if err := c.Decode(v.Bytes); err != nil || c != (TodControl{0x1234, true}) {
			t.Errorf("%s: %+v, %v", v.Name, c, err)
		}
		if got := c.AppendTo(nil); !bytes.Equal(got, v.Bytes) {
			t.Errorf("%s: comes back as % x", v.Name, got)
		}
		for n := range v.Bytes {
			if err := new(TodControl).Decode(v.Bytes[:n]); err == nil {
				t.Errorf("%s: the first %d bytes pass", v.Name, n)
			}
		}
	}
	for _, v := range dmxtest.Vectors(t, "arttoddata") {
		var d TodData
		err := d.Decode(v.Bytes)
		if v.Valid != (err == nil) {
			t.Errorf("%s: decoded with %v, want valid = %v (%s)", v.Name, err, v.Valid, v.Why)
		}
		if !v.Valid {
			continue
		}
		want := TodData{PortAddress: 0x1234, Port: 1, BindIndex: 1, Total: v.Int(t, "uid_total"), Block: v.Int(t, "block_count"), UIDs: []UID{MakeUID(Prototype, 1)}}
		if !reflect.DeepEqual(d, want) {
			t.Errorf("%s: %+v, want %+v", v.Name, d, want)
		}
		if got := d.AppendTo(nil); !bytes.Equal(got, v.Bytes) {
			t.Errorf("%s: comes back as % x", v.Name, got)
		}
		for n := range v.Bytes {
			if err := new(TodData).Decode(v.Bytes[:n]); err == nil {
				t.Errorf("%s: the first %d bytes pass", v.Name, n)
			}
		}
	}
}

func TestGoldenCarried(t *testing.T) {
	for _, v := range dmxtest.Vectors(t, "artrdm") {
		var c Carried
		err := c.Decode(v.Bytes)
		if v.Valid != (err == nil) {
			t.Errorf("%s: decoded with %v, want valid = %v (%s)", v.Name, err, v.Valid, v.Why)
		}
		if !v.Valid {
			continue
		}
		if c.PortAddress != 0x1234 || int(c.Message.PID) != v.Int(t, "pid") || int(c.Message.Class) != v.Int(t, "command_class") {
			t.Errorf("%s: %+v", v.Name, c)
		}
		if got := c.AppendTo(nil); !bytes.Equal(got, v.Bytes) {
			t.Errorf("%s: comes back as % x", v.Name, got)
		}
		for n := range v.Bytes {
			if err := new(Carried).Decode(v.Bytes[:n]); err == nil {
				t.Errorf("%s: the first %d bytes pass", v.Name, n)
			}
		}
		var padded Carried
		if err := padded.Decode(append(slices.Clone(v.Bytes), make([]byte, 300)...)); err != nil || !reflect.DeepEqual(padded, c) {
			t.Errorf("%s, padded: %+v, %v", v.Name, padded, err)
		}
		for at, why := range map[int]error{rdmVerAt: ErrVersion, netAt: ErrNet, commandAt: ErrData, 0: artnet.ErrID} {
			b := slices.Clone(v.Bytes)
			b[at] ^= 0x80
			if err := new(Carried).Decode(b); err != why {
				t.Errorf("%s with byte %d changed: %v, want %v", v.Name, at, err, why)
			}
		}
	}
}

func TestTablesThatLie(t *testing.T) {
	d := TodData{Total: 1, UIDs: []UID{MakeUID(Prototype, 1)}}
	whole := d.AppendTo(nil)
	for what, change := range map[string]func(b []byte){
		"a device that is everybody":   func(b []byte) { copy(b[todUIDsAt:], Everybody[:]) },
		"a device that is nobody":      func(b []byte) { clear(b[todUIDsAt:]) },
		"more devices than fit":        func(b []byte) { b[todCountAt] = MaxBlock + 1 },
		"another version":              func(b []byte) { b[rdmVerAt] = 0 },
		"a Net of eight bits":          func(b []byte) { b[netAt] = 0x80 },
		"another message":              func(b []byte) { b[9] = 0x82 },
		"a protocol version below 14.": func(b []byte) { b[11] = 13 },
	} {
		b := slices.Clone(whole)
		change(b)
		kept := TodData{Total: 7}
		if err := kept.Decode(b); err == nil || kept.Total != 7 {
			t.Errorf("%s: %v, %+v", what, err, kept)
		}
	}
	if err := new(TodData).Decode(whole); err != nil {
		t.Error(err)
	}
	r := (&TodRequest{Addresses: []byte{1}}).AppendTo(nil)
	r[addressAt] = todRequestMax + 1
	if err := new(TodRequest).Decode(append(r, 0)); err != ErrCount {
		t.Errorf("33 addresses: %v", err)
	}
}

func TestProgrammersMistakesPanic(t *testing.T) {
	for what, do := range map[string]func(){
		"data":      func() { (&Message{Data: make([]byte, MaxData+1)}).AppendTo(nil) },
		"addresses": func() { (&TodRequest{Addresses: make([]byte, 33)}).AppendTo(nil) },
		"devices":   func() { (&TodData{UIDs: make([]UID, MaxBlock+1)}).AppendTo(nil) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("too many %s are taken", what)
				}
			}()
			do()
		}()
	}
}

func drawUID(t *rapid.T, what string) UID {
	return UID(rapid.SliceOfN(rapid.Byte(), uidLength, uidLength).Draw(t, what))
}

// What is put together comes apart again, whatever it is.
func TestRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Message{
			Dest: drawUID(t, "dest"), Source: drawUID(t, "source"),
			Transaction: rapid.Byte().Draw(t, "tn"), Port: rapid.Byte().Draw(t, "port"), Count: rapid.Byte().Draw(t, "count"),
			SubDevice: rapid.Uint16().Draw(t, "sub"), PID: PID(rapid.Uint16().Draw(t, "pid")),
			Class: rapid.SampledFrom([]Class{Discovery, DiscoveryResponse, Get, GetResponse, Set, SetResponse}).Draw(t, "class"),
			Data:  rapid.SliceOfN(rapid.Byte(), 0, MaxData).Draw(t, "data"),
		}
		if m.Source.IsBroadcast() {
			m.Source[5] = 0
		}
		line := m.AppendTo([]byte("before"))[len("before"):]
		var got Message
		if err := got.Decode(line); err != nil || !equalMessages(got, m) {
			t.Fatalf("%+v, %v", got, err)
		}
		c := Carried{PortAddress: rapid.Uint16Max(artnet.MaxPortAddress).Draw(t, "address"), Message: m}
		var back Carried
		if err := back.Decode(c.AppendTo(nil)); err != nil || back.PortAddress != c.PortAddress || !equalMessages(back.Message, m) {
			t.Fatalf("%+v, %v", back, err)
		}
		u := drawUID(t, "uid")
		if found, err := DecodeFound(AppendFound(nil, u)); err != nil || found != u {
			t.Fatalf("%v, %v", found, err)
		}
		if parsed, err := ParseUID(strings.ToUpper(u.String())); err != nil || parsed != u || MakeUID(u.Maker(), u.Device()) != u {
			t.Fatalf("%v, %v", parsed, err)
		}
	})
}

func equalMessages(a, b Message) bool {
	data := bytes.Equal(a.Data, b.Data)
	a.Data, b.Data = nil, nil
	return data && reflect.DeepEqual(a, b)
}

func TestParseUID(t *testing.T) {
	for _, s := range []string{"7ff0:00000001", "7FF000000001"} {
		if u, err := ParseUID(s); err != nil || u != MakeUID(Prototype, 1) {
			t.Errorf("%s: %v, %v", s, u, err)
		}
	}
	for _, s := range []string{"", "7ff0", "7ff0:0000001", "7ff00:0000001", "7ff0:0000000g", "7ff0:00000001:", "sky"} {
		if u, err := ParseUID(s); err == nil || !strings.Contains(err.Error(), strconv.Quote(s)) {
			t.Errorf("%q is %v, %v", s, u, err)
		}
	}
}

// DEVICE_INFO, ANSI E1.20, 10.5.1: 19 bytes, footprint at 10 and start address at 14.
func TestInfo(t *testing.T) {
	data := []byte{1, 0, 0x12, 0x34, 1, 9, 0, 1, 2, 3, 0, 4, 2, 3, 0, 101, 0, 1, 5}
	want := Info{Model: 0x1234, Category: 0x109, Software: 0x10203, Footprint: 4, Mode: 2, Modes: 3, StartAddress: 101, SubDevices: 1, Sensors: 5}
	var got Info
	if err := got.Decode(data); err != nil || got != want {
		t.Errorf("%+v, %v", got, err)
	}
	if back := want.AppendTo(nil); !bytes.Equal(back, data) {
		t.Errorf("comes back as % x", back)
	}
	none := slices.Clone(data)
	none[14], none[15] = 0xff, 0xff
	if err := got.Decode(none); err != nil || got.StartAddress != 0 {
		t.Errorf("no address: %+v, %v", got, err)
	}
	if back := got.AppendTo(nil); !bytes.Equal(back, none) {
		t.Errorf("no address comes back as % x", back)
	}
	for what, bad := range map[string][]byte{
		"short": data[:18], "long": append(slices.Clone(data), 0),
		"address 513": slices.Concat(data[:14], []byte{2, 1}, data[16:]), "513 slots": slices.Concat(data[:10], []byte{2, 1}, data[12:]),
	} {
		if err := got.Decode(bad); err != ErrData {
			t.Errorf("%s: %v", what, err)
		}
	}
}

func TestTextsAreCleaned(t *testing.T) {
	if s, err := DecodeLabel([]byte("ke\x1b[2Jel\u202e \x00left")); err != nil || s != "ke[2Jel" {
		t.Errorf("%q, %v", s, err)
	}
	if _, err := DecodeLabel(make([]byte, maxLabel+1)); err == nil {
		t.Error("a label of 33 bytes passes")
	}
	var m Mode
	if err := m.Decode([]byte("\x02\x00\x044 ch\x07annels")); err != nil || m != (Mode{2, 4, "4 channels"}) {
		t.Errorf("%+v, %v", m, err)
	}
	for _, bad := range []string{"", "\x01\x00", "\x00\x00\x04x", "\x01\x02\x01x", "\x01\x00\x04" + strings.Repeat("x", 33)} {
		if err := m.Decode([]byte(bad)); err != ErrData {
			t.Errorf("%q: %v", bad, err)
		}
	}
}
