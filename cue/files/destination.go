package files

import (
	"fmt"
	"net/netip"
	"regexp"
	"strconv"
	"strings"

	"limn/cue"
	"limn/profiles/tomlfile"
)

// maxHost is the longest name of a host in the domain name system (RFC 1035).
const maxHost = 253

var (
	hostName = regexp.MustCompile(`^[A-Za-z0-9]([A-Za-z0-9-]{0,61}[A-Za-z0-9])?(\.[A-Za-z0-9]([A-Za-z0-9-]{0,61}[A-Za-z0-9])?)*\.?$`)
	numbers  = regexp.MustCompile(`^[0-9.]+$`)
)

// destinations reads where an output goes: a text or a list of them. sACN without
// is multicast, usb without is the only adapter there is.
func (l *loader) destinations(t *tomlfile.Table, o *cue.Output) {
	example := `to = "` + exampleFor(o.Kind) + `"`
	switch o.Kind {
	case cue.ArtNet:
		t.Require("to", example+`, or to = "discover"`)
	case cue.USBRaw, cue.USBWidget:
		t.Require("to", example)
	}
	v, ok := t.Value("to")
	if !ok {
		return
	}
	values, isList := v.List()
	if !isList {
		values = []tomlfile.Value{v}
	}
	if len(values) == 0 {
		l.ps.Error(v.Pos(), "write "+example, "the list of destinations is empty")
	}
	if isUSB(o.Kind) && len(values) > 1 {
		l.ps.Error(v.Pos(), "write an [[output]] for each adapter", "a usb output has one adapter, this has %d", len(values))
	}
	seen := map[string]bool{}
	for _, v := range values {
		if text, _ := v.Text(); text == discover && !isUSB(o.Kind) {
			l.discovers(v, o, len(values))
			continue
		}
		text, ok := tomlfile.ReadValue(v, func(s string) (string, error) { return s, destination(s, o.Kind) })
		if !ok {
			continue
		}
		place := text
		if !isUSB(o.Kind) {
			place = normalPlace(text, o.Kind)
		}
		if seen[place] {
			l.ps.Error(v.Pos(), "write it once", "%s is there twice", tomlfile.Quote(text))
			continue
		}
		seen[place] = true
		o.To = append(o.To, text)
	}
}

// discovers takes to = "discover", which stands alone.
func (l *loader) discovers(v tomlfile.Value, o *cue.Output, of int) {
	switch {
	case o.Kind == cue.SACN:
		l.ps.Error(v.Pos(), "leave to out: multicast reaches whoever listens", "sACN receivers are not discovered")
	case of > 1:
		l.ps.Error(v.Pos(), `write to = "discover" alone, or the addresses alone`, "discovery and given addresses stand together")
	default:
		o.Discover = true
	}
}

// destination says what is wrong with where an output is to go.
func destination(text, kind string) error {
	switch {
	case strings.TrimSpace(text) == "":
		return fmt.Errorf("the destination is empty; write for example to = %q", exampleFor(kind))
	case isUSB(kind):
		return nil
	case strings.Contains(text, "://") || strings.ContainsAny(text, "/ "):
		return fmt.Errorf("%q is not the address of a node; write the address alone, as in %q", text, exampleFor(kind))
	}
	if a, err := netip.ParseAddr(text); err == nil {
		return reachable(text, a, kind)
	}
	if a, err := netip.ParseAddrPort(text); err == nil {
		if a.Port() == 0 {
			return fmt.Errorf("%q has no usable port; ports count from 1 to 65535", text)
		}
		return reachable(text, a.Addr(), kind)
	}
	host, port, found := strings.Cut(text, ":")
	if found {
		if n, err := strconv.Atoi(port); err != nil || n < 1 || n > 65535 {
			return fmt.Errorf("%q has no usable port; write host:port with a port from 1 to 65535, as in \"127.0.0.1:6454\"", text)
		}
	}
	if numbers.MatchString(host) || len(host) > maxHost || !hostName.MatchString(host) {
		return fmt.Errorf("%q is not the address of a node; write for example %q", text, exampleFor(kind))
	}
	return nil
}

func exampleFor(kind string) string {
	if isUSB(kind) {
		return "/dev/ttyUSB0"
	}
	return "127.0.0.1"
}

// reachable refuses addresses that are no single receiver: ArtDmx goes to one
// node at a time (Art-Net 4: unicast only).
func reachable(text string, a netip.Addr, kind string) error {
	broadcast := netip.AddrFrom4([4]byte{255, 255, 255, 255})
	switch {
	case kind == cue.ArtNet && !a.Unmap().Is4():
		return fmt.Errorf("%q is an IPv6 address, and Art-Net runs on IPv4; write the node's IPv4 address", text)
	case kind == cue.SACN && a.IsMulticast():
		return fmt.Errorf("%q is a multicast group, and sACN finds those by itself; leave to out", text)
	case a.IsUnspecified():
		return fmt.Errorf("%q is no address to send to; write the node's own, as in %q", text, exampleFor(kind))
	case kind == cue.ArtNet && (a.IsMulticast() || a == broadcast):
		return fmt.Errorf("%q is no single node, and Art-Net sends light to single nodes only; write the node's own address", text)
	}
	return nil
}
