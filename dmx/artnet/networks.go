package artnet

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"strings"
)

// Network is one IPv4 network that this computer is on.
type Network struct {
	Interface string
	Own       netip.Prefix // this computer's address, and how long the network's part of it is
	MAC       [6]byte      // zero if the interface has none
	Loopback  bool
}

// Broadcast is the network's directed broadcast address: all bits of the host's part set.
func (n Network) Broadcast() netip.Addr {
	a := n.Own.Addr().As4()
	for bit := n.Own.Bits(); bit < 32; bit++ {
		a[bit/8] |= 0x80 >> (bit % 8)
	}
	return netip.AddrFrom4(a)
}

// String is the interface and the address: "eth0 192.168.1.5/24".
func (n Network) String() string { return n.Interface + " " + n.Own.String() }

// usable: switched on, and the cable is in.
const usable = net.FlagUp | net.FlagRunning

// Networks lists the IPv4 networks of the interfaces that are up and connected.
func Networks() ([]Network, error) {
	interfaces, err := net.Interfaces()
	if err != nil {
		return nil, err
	}
	var out []Network
	for _, in := range interfaces {
		if in.Flags&usable != usable {
			continue
		}
		addresses, err := in.Addrs()
		if err != nil {
			continue // it went away meanwhile
		}
		for _, a := range addresses {
			own, err := netip.ParsePrefix(a.String())
			if err != nil || !own.Addr().Unmap().Is4() {
				continue
			}
			n := Network{Interface: in.Name, Own: own, Loopback: in.Flags&net.FlagLoopback != 0}
			copy(n.MAC[:], in.HardwareAddr)
			out = append(out, n)
		}
	}
	return out, nil
}

// errNoNetwork says that this computer is on no network.
var errNoNetwork = errors.New("this computer is on no network; plug the cable in and give it an IPv4 address")

// choose finds the network that is asked for by an interface's name or an own address of this computer; nothing asks
// for the only one there is.
func choose(asked string, all []Network) (Network, error) {
	var fit, others []Network
	for _, n := range all {
		switch {
		case asked == "" && n.Loopback:
		case asked == "" || asked == n.Interface || asked == n.Own.Addr().String():
			fit = append(fit, n)
		default:
			others = append(others, n)
		}
	}
	switch {
	case len(fit) == 1, len(fit) > 1 && asked != "":
		return fit[0], nil // an interface's first address is its main one
	case len(fit) > 1:
		return Network{}, fmt.Errorf("this computer is on several networks (%s); name the interface the lights are on", list(fit))
	case asked == "":
		return Network{}, errNoNetwork
	case len(others) == 0:
		return Network{}, fmt.Errorf("there is no interface or own address %q; %w", asked, errNoNetwork)
	}
	return Network{}, fmt.Errorf("there is no interface or own address %q; there are %s", asked, list(others))
}

func list(all []Network) string {
	words := make([]string, len(all))
	for i, n := range all {
		words[i] = n.String()
	}
	return strings.Join(words, ", ")
}

// networkOf finds the network that an address is on.
func networkOf(a netip.Addr, all []Network) (Network, bool) {
	for _, n := range all {
		if n.Own.Contains(a) {
			return n, true
		}
	}
	return Network{}, false
}

// offNetwork has the words for an address that is on none of this computer's networks, and the cure. They
// are empty when it is on one.
func offNetwork(a netip.Addr, all []Network) string {
	if _, ok := networkOf(a, all); ok {
		return ""
	}
	var real []Network
	for _, n := range all {
		if !n.Loopback {
			real = append(real, n)
		}
	}
	if len(real) == 0 {
		return fmt.Sprintf("%v cannot be reached: %v", a, errNoNetwork)
	}
	return fmt.Sprintf("%v is on none of this computer's networks (%s); give this computer a second address in the node's network, "+
		"such as %v with the node's netmask, or the node one in this computer's", a, list(real), neighbour(a))
}

// neighbour is an address next to a.
func neighbour(a netip.Addr) netip.Addr {
	b := a.As4()
	if b[3] < 200 {
		b[3] += 50
	} else {
		b[3] -= 50
	}
	return netip.AddrFrom4(b)
}
