package artnet

import (
	"bytes"
	"errors"
	"strconv"
	"strings"
	"testing"

	"github.com/jsimonetti/go-artnet/packet"
	"pgregory.net/rapid"

	"limn/dmx"
	"limn/dmx/dmxtest"
)

// Golden packets, as others decoded them: testdata/wire.
func TestDecodeGolden(t *testing.T) {
	for _, p := range dmxtest.Vectors(t, "artdmx_") {
		if !p.Valid {
			continue
		}
		var d Datagram
		if err := d.Decode(p.Bytes); err != nil {
			t.Errorf("%s: %v", p.Name, err)
			continue
		}
		if got, want := int(d.PortAddress), p.Int(t, "port_address"); got != want {
			t.Errorf("%s: Port-Address %d, want %d", p.Name, got, want)
		}
		if got, want := int(d.Sequence), p.Int(t, "sequence"); got != want {
			t.Errorf("%s: sequence %d, want %d", p.Name, got, want)
		}
		if got, want := int(d.Physical), p.Int(t, "physical"); got != want {
			t.Errorf("%s: physical %d, want %d", p.Name, got, want)
		}
		length := p.Int(t, "length")
		if !bytes.Equal(d.Data, p.Bytes[18:18+length]) { // data begin at byte 18
			t.Errorf("%s: %d slots, want %d", p.Name, len(d.Data), length)
		}
		if cap(d.Data) != length {
			t.Errorf("%s: what follows the slots can be reached through them", p.Name)
		}
	}
}

func TestEncodeGolden(t *testing.T) {
	for _, p := range dmxtest.Vectors(t, "artdmx_") {
		if !p.Valid || strings.Contains(p.Name, "protver") || strings.Contains(p.Name, "trailing") {
			continue // what others may send and we do not
		}
		e, err := NewEncoder(uint16(p.Int(t, "port_address")), byte(p.Int(t, "physical")))
		if err != nil {
			t.Fatal(err)
		}
		slots := p.Bytes[18 : 18+p.Int(t, "length")]
		if n, ok := p.Fields["source_slots"].(float64); ok { // an odd number of slots, before padding
			slots = slots[:int(n)]
		}
		e.Encode(77, bytes.Repeat([]byte{0xee}, dmx.Slots)) // what was in the packet before must not show
		if got := e.Encode(byte(p.Int(t, "sequence")), slots); !bytes.Equal(got, p.Bytes) {
			t.Errorf("%s:\n got %x\nwant %x", p.Name, got, p.Bytes)
		}
	}
}

func TestMalformedAreRefused(t *testing.T) {
	for _, p := range dmxtest.Vectors(t, "artdmx_", "any_empty", "artnet_only", "artpoll_11") {
		if p.Valid {
			continue
		}
		d := Datagram{PortAddress: 1, Sequence: 2, Physical: 3}
		err := d.Decode(p.Bytes)
		var malformed Malformed
		if !errors.As(err, &malformed) || errors.Is(err, ErrNotDmx) {
			t.Errorf("%s (%s): %v", p.Name, p.Why, err)
		}
		if d.PortAddress != 1 || d.Sequence != 2 || d.Physical != 3 || d.Data != nil {
			t.Errorf("%s: refused, and yet it left %+v", p.Name, d)
		}
	}
}

// Good messages of other kinds are told apart from bad ones.
func TestOtherMessages(t *testing.T) {
	for _, p := range dmxtest.Vectors(t, "artpoll_", "artpollreply_", "artsync") {
		if !p.Valid {
			continue
		}
		if err := new(Datagram).Decode(p.Bytes); !errors.Is(err, ErrNotDmx) {
			t.Errorf("%s: %v", p.Name, err)
		}
		op, err := Kind(p.Bytes)
		if want, _ := strconv.ParseUint(p.Fields["opcode"].(string), 0, 16); err != nil || op != OpCode(want) {
			t.Errorf("%s: OpCode %#x (%v), want %#x", p.Name, op, err, want)
		}
	}
}

func TestEveryTruncationIsRefused(t *testing.T) {
	for _, p := range dmxtest.Vectors(t, "artdmx_512_pa1", "artdmx_min_2") {
		for n := range len(p.Bytes) {
			if err := new(Datagram).Decode(p.Bytes[:n:n]); err == nil {
				t.Errorf("%s: its first %d bytes are taken", p.Name, n)
			}
		}
	}
}

// A second opinion: go-artnet decodes what we encode, and encodes what we decode.
func TestAgainstGoArtnet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		address := rapid.Uint16Range(0, MaxPortAddress).Draw(t, "address")
		sequence, physical := rapid.Byte().Draw(t, "sequence"), rapid.Byte().Draw(t, "physical")
		slots := rapid.SliceOfN(rapid.Byte(), 1, dmx.Slots).Draw(t, "slots")
		e, err := NewEncoder(address, physical)
		if err != nil {
			t.Fatal(err)
		}
		ours := e.Encode(sequence, slots)
		var theirs packet.ArtDMXPacket
		if err := theirs.UnmarshalBinary(ours); err != nil {
			t.Fatal(err)
		}
		if theirs.Sequence != sequence || theirs.Physical != physical ||
			uint16(theirs.Net)<<8|uint16(theirs.SubUni) != address || int(theirs.Length) != (len(slots)+1)/2*2 ||
			!bytes.Equal(theirs.Data[:len(slots)], slots) {
			t.Fatalf("they read %+v", theirs)
		}
		b, err := theirs.MarshalBinary() // always of full length
		if err != nil {
			t.Fatal(err)
		}
		var d Datagram
		if err := d.Decode(b); err != nil {
			t.Fatal(err)
		}
		if d.Sequence != sequence || d.Physical != physical || d.PortAddress != address || len(d.Data) != dmx.Slots ||
			!bytes.Equal(d.Data[:len(slots)], slots) {
			t.Fatalf("we read %+v", d)
		}
	})
}

func TestEncodeAndDecodeAllocateNothing(t *testing.T) {
	e, err := NewEncoder(1, 0)
	if err != nil {
		t.Fatal(err)
	}
	var f dmx.Frame
	var d Datagram
	bad := append([]byte(nil), e.Encode(1, f[:])...)
	bad[netAt] = 0x80
	if n := testing.AllocsPerRun(1000, func() {
		if d.Decode(e.Encode(1, f[:])) != nil || d.Decode(bad) == nil {
			t.Fatal("decoding goes wrong")
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func TestNoSlotsIsAMistake(t *testing.T) {
	e, err := NewEncoder(1, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []int{0, 513} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%d slots were encoded", n)
				}
			}()
			e.Encode(1, make([]byte, n))
		}()
	}
	if _, err := NewEncoder(32768, 0); err == nil || !strings.Contains(err.Error(), "0..32767") {
		t.Errorf("a Port-Address of 16 bits: %v", err)
	}
}

func FuzzDecode(f *testing.F) {
	for _, p := range dmxtest.Vectors(f, "art", "any") {
		if len(p.Bytes) < 2000 { // the longest would only make the corpus slow
			f.Add(p.Bytes)
		}
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		var d Datagram
		if err := d.Decode(b); err != nil {
			return
		}
		if d.PortAddress > MaxPortAddress || len(d.Data) < 2 || len(d.Data) > dmx.Slots || len(d.Data)%2 != 0 {
			t.Fatalf("taken: %+v", d)
		}
		e, err := NewEncoder(d.PortAddress, d.Physical)
		if err != nil {
			t.Fatal(err)
		}
		again := e.Encode(d.Sequence, d.Data)
		// All but the protocol version, which may be newer, and what follows the slots.
		if !bytes.Equal(again[:protVerAt], b[:protVerAt]) || !bytes.Equal(again[headerLength:], b[headerLength:len(again)]) {
			t.Fatalf("%x was taken and is encoded as %x", b, again)
		}
	})
}
