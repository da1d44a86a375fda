package dmxtest

import (
	"bytes"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// RFC 1071, section 3, the worked example: the sum of these is ddf2.
func TestChecksum(t *testing.T) {
	if got := checksum([]byte{0x00, 0x01, 0xf2, 0x03, 0xf4, 0xf5, 0xf6, 0xf7}); got != ^uint16(0xddf2) {
		t.Errorf("checksum %04x, want %04x", got, ^uint16(0xddf2))
	}
	if got := checksum([]byte{0x12}); got != ^uint16(0x1200) {
		t.Errorf("an odd byte is padded on the wrong side: %04x", got)
	}
}

// The dissector reads back what was written, and both checksums satisfy it.
func TestPcapReadByTshark(t *testing.T) {
	var b bytes.Buffer
	p, err := NewPcap(&b)
	if err != nil {
		t.Fatal(err)
	}
	from, to := netip.MustParseAddrPort("127.0.0.1:40000"), netip.MustParseAddrPort("127.0.0.2:9")
	at := time.Date(2026, 11, 25, 12, 0, 0, 123456000, time.UTC)
	payloads := [][]byte{{1, 2, 3}, {}, bytes.Repeat([]byte{0xff}, 1001)}
	for _, payload := range payloads {
		if err := p.Datagram(at, from, to, payload); err != nil {
			t.Fatal(err)
		}
	}
	file := filepath.Join(t.TempDir(), "written.pcap")
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	lines := Tshark(t, "-r", file, "-o", "ip.check_checksum:TRUE", "-o", "udp.check_checksum:TRUE", "-T", "fields",
		"-e", "ip.src", "-e", "udp.srcport", "-e", "ip.dst", "-e", "udp.dstport", "-e", "udp.length",
		"-e", "ip.checksum.status", "-e", "udp.checksum.status", "-e", "frame.time_epoch")
	for i, length := range []string{"11", "8", "1009"} {
		want := strings.Join([]string{"127.0.0.1", "40000", "127.0.0.2", "9", length, "1", "1", "1795608000.123456000"}, "\t")
		if i >= len(lines) || lines[i] != want {
			t.Errorf("datagram %d is read as %q, want %q", i, lines[min(i, len(lines)-1)], want)
		}
	}
	if err := p.Datagram(at, netip.MustParseAddrPort("[::1]:1"), to, nil); err == nil {
		t.Error("a datagram from an IPv6 address was written")
	}
	if err := p.Datagram(at, from, to, make([]byte, 65536-28)); err == nil {
		t.Error("a datagram too long for IPv4 was written")
	}
}
