package artnet

import (
	"fmt"
	"strings"
	"testing"

	"limn/dmx"
	"limn/dmx/dmxtest"
)

// Net, Sub-Net and Universe as the protocol text lays them out: testdata/wire.
func TestPortAddressLayout(t *testing.T) {
	var cases []struct {
		Net, Universe  uint16
		SubNet         uint16 `json:"sub_net"`
		PortAddress    uint16 `json:"port_address"`
		Byte14, Byte15 byte
	}
	dmxtest.Table(t, "artnet_port_address", &cases)
	for _, c := range cases {
		e, err := NewEncoder(c.PortAddress, 0)
		if err != nil {
			t.Fatal(err)
		}
		b := e.Encode(1, []byte{1, 2})
		if b[14] != c.Byte14 || b[15] != c.Byte15 {
			t.Errorf("Port-Address %d goes as %02x %02x, want %02x %02x", c.PortAddress, b[14], b[15], c.Byte14, c.Byte15)
		}
		if want := fmt.Sprintf("%d:%d:%d (%d)", c.Net, c.SubNet, c.Universe, c.PortAddress); FormatPortAddress(c.PortAddress) != want {
			t.Errorf("Port-Address %d is written %s, want %s", c.PortAddress, FormatPortAddress(c.PortAddress), want)
		}
		var d Datagram
		if err := d.Decode(b); err != nil || d.PortAddress != c.PortAddress {
			t.Errorf("Port-Address %d comes back as %d (%v)", c.PortAddress, d.PortAddress, err)
		}
	}
	if len(cases) == 0 {
		t.Error("no cases")
	}
}

func TestPortAddressOfAUniverse(t *testing.T) {
	for _, c := range []struct {
		universe dmx.Universe
		offset   int
		want     uint16
		err      string
	}{
		{1, 0, 1, ""},
		{1, -1, 0, ""},
		{32767, 0, 32767, ""},
		{32768, -1, 32767, ""},
		{32768, 0, 0, "universe 32768 is beyond"},
		{63999, 0, 0, "0..32767"},
		{1, -2, 0, "universe 1 with offset -2 makes Port-Address -1"},
		{10, 32760, 0, "makes Port-Address 32770"},
	} {
		got, err := PortAddress(c.universe, c.offset)
		if (err == nil) != (c.err == "") || err != nil && !strings.Contains(err.Error(), c.err) || got != c.want {
			t.Errorf("universe %d, offset %d: %d, %v; want %d, %q", c.universe, c.offset, got, err, c.want, c.err)
		}
	}
}
