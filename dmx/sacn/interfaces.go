package sacn

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"slices"
	"strings"
)

// Interface is one network interface of this computer.
type Interface struct {
	net.Interface
	Addrs []netip.Addr // its own addresses, zones left out
}

// Interfaces lists the interfaces that are switched on; whether the cable is in, their flags say.
func Interfaces() ([]Interface, error) {
	all, err := net.Interfaces()
	if err != nil {
		return nil, err
	}
	var out []Interface
	for _, in := range all {
		if in.Flags&net.FlagUp == 0 {
			continue
		}
		addresses, err := in.Addrs()
		if err != nil {
			continue // it went away meanwhile
		}
		i := Interface{Interface: in}
		for _, a := range addresses {
			if p, err := netip.ParsePrefix(a.String()); err == nil {
				i.Addrs = append(i.Addrs, p.Addr().Unmap())
			}
		}
		out = append(out, i)
	}
	return out, nil
}

// connected says that the cable is in.
func (i *Interface) connected() bool { return i.Flags&net.FlagRunning != 0 }

// speaks says that it has an address of an IP version.
func (i *Interface) speaks(v4 bool) bool {
	return slices.ContainsFunc(i.Addrs, func(a netip.Addr) bool { return a.Is4() == v4 })
}

// String is the name and the addresses: "eth0 (192.168.1.5, fe80::1)".
func (i *Interface) String() string {
	words := make([]string, len(i.Addrs))
	for n, a := range i.Addrs {
		words[n] = a.String()
	}
	return fmt.Sprintf("%s (%s)", i.Name, strings.Join(words, ", "))
}

var (
	errNoInterface = errors.New("this computer is on no network; plug the cable in, or switch the interface on")
	errSeveral     = errors.New("name the one the lights are on")
)

// choose finds the interface that is asked for by name or own address; nothing asks for the
// only one there is besides loopback.
func choose(asked string, all []Interface) (Interface, error) {
	var fit, others []Interface
	address, _ := netip.ParseAddr(asked)
	for _, i := range all {
		switch {
		case asked == "" && i.Flags&(net.FlagLoopback|net.FlagPointToPoint) != 0:
		case asked == "" && (i.Flags&net.FlagMulticast == 0 || len(i.Addrs) == 0):
		case asked == "" || asked == i.Name || address.IsValid() && slices.Contains(i.Addrs, address):
			fit = append(fit, i)
		default:
			others = append(others, i)
		}
	}
	switch {
	case len(fit) == 1:
		return fit[0], nil
	case len(fit) > 1:
		return Interface{}, fmt.Errorf("this computer has several network interfaces, %s; %w", names(fit), errSeveral)
	case asked == "" || len(others) == 0:
		return Interface{}, errNoInterface
	}
	return Interface{}, fmt.Errorf("no interface that is switched on is named %q or has that address; there are %s", asked, names(others))
}

func names(all []Interface) string {
	words := make([]string, len(all))
	for i := range all {
		words[i] = all[i].String()
	}
	return strings.Join(words, ", ")
}
