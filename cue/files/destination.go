package files

import (
	"fmt"
	"net/netip"
	"regexp"
	"strconv"
	"strings"

	"limn/cue"
)

// maxHost is the longest name of a host in the domain name system (RFC 1035).
const maxHost = 253

var (
	hostName = regexp.MustCompile(`^[A-Za-z0-9]([A-Za-z0-9-]{0,61}[A-Za-z0-9])?(\.[A-Za-z0-9]([A-Za-z0-9-]{0,61}[A-Za-z0-9])?)*\.?$`)
	numbers  = regexp.MustCompile(`^[0-9.]+$`)
)

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
	case a.IsUnspecified():
		return fmt.Errorf("%q is no address to send to; write the node's own, as in %q", text, exampleFor(kind))
	case kind == cue.ArtNet && (a.IsMulticast() || a == broadcast):
		return fmt.Errorf("%q is no single node, and Art-Net sends light to single nodes only; write the node's own address", text)
	}
	return nil
}
