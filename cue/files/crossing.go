package files

import (
	"fmt"
	"net/netip"
	"strings"

	"limn/cue"
	"limn/profiles/tomlfile"
)

// Ports that a network address without one means.
const (
	artNetPort = 6454
	sacnPort   = 5568
)

// spot is what a receiver takes for one sender's light: a place and a number there.
type spot struct {
	kind string // of the wire: artnet, sacn, usb
	at   string // address and port, "discover", "multicast", or the adapter
	wire int
}

// crossing finds outputs that send to one and the same place: the receiver would
// jump between the two, or mix them.
func (l *loader) crossing() {
	seen := map[spot][]*cue.Output{}
	for i := range l.shoot.Outputs {
		o := &l.shoot.Outputs[i]
		said := false
		for _, at := range spots(o) {
			for _, first := range seen[at] {
				if said || first == o || !sameNetwork(first, o, at) {
					continue
				}
				said = true
				what, cure := at.words(o)
				l.ps.Error(tomlfile.Pos(o.Origin), cure, "outputs %s and %s both send to %s",
					tomlfile.Quote(first.Name), tomlfile.Quote(o.Name), what)
			}
			seen[at] = append(seen[at], o)
		}
	}
	l.twoWays()
}

// twoWays warns of one universe that reaches one network on two ways, so that a
// receiver may hear both.
func (l *loader) twoWays() {
	type number struct {
		kind string
		wire int
	}
	open := map[number]*cue.Output{} // by multicast or discovery, to whoever listens
	each := func(f func(o *cue.Output, n number)) {
		for i := range l.shoot.Outputs {
			o := &l.shoot.Outputs[i]
			for _, u := range o.Universes {
				f(o, number{o.Kind, u + o.Offset})
			}
		}
	}
	each(func(o *cue.Output, n number) {
		if o.Discover || o.Multicast() {
			open[n] = o
		}
	})
	said := map[*cue.Output]bool{}
	each(func(o *cue.Output, n number) {
		wide := open[n]
		if wide == nil || wide == o || o.Discover || o.Multicast() || said[o] {
			return
		}
		said[o] = true
		what, cure := "a node that is discovered and named is sent it twice", "name all nodes, or discover all"
		if o.Kind == cue.SACN {
			what, cure = "a receiver that hears both takes them for two senders", `write one output with both to and ip = "v4"`
		}
		l.ps.Warn(tomlfile.Pos(o.Origin), cure, "outputs %s and %s both send universe number %d: %s",
			tomlfile.Quote(wide.Name), tomlfile.Quote(o.Name), n.wire, what)
	})
}

// spots lists where an output sends what.
func spots(o *cue.Output) []spot {
	if isUSB(o.Kind) {
		at := "the adapter that is found"
		if len(o.To) > 0 {
			at = o.To[0]
		}
		return []spot{{cue.USB, at, 0}}
	}
	var places []string
	for _, to := range o.To {
		places = append(places, normalPlace(to, o.Kind))
	}
	if o.Discover {
		places = append(places, discover)
	}
	if o.Multicast() {
		places = append(places, "multicast")
	}
	var out []spot
	for _, at := range places {
		for _, u := range o.Universes {
			out = append(out, spot{o.Kind, at, u + o.Offset})
		}
	}
	return out
}

// sameNetwork says that two outputs to whoever listens may reach the same ones. An
// interface left out may be any.
func sameNetwork(a, b *cue.Output, at spot) bool {
	if at.at != discover && at.at != "multicast" {
		return true
	}
	return a.Interface == "" || b.Interface == "" || a.Interface == b.Interface
}

func (s spot) words(o *cue.Output) (what, cure string) {
	switch {
	case s.kind == cue.USB:
		return s.at, "give each adapter one output"
	case s.at == discover:
		return fmt.Sprintf("whatever nodes have Port-Address %d", s.wire), "take one out, or change its offset or interface"
	case s.at == "multicast":
		return fmt.Sprintf("universe number %d by multicast", s.wire), "take one out, or change its offset or interface"
	}
	shown := s.at
	for _, to := range o.To {
		if normalPlace(to, o.Kind) == s.at {
			shown = to
		}
	}
	return fmt.Sprintf("universe number %d at %s", s.wire, shown), "take one out, or change its offset"
}

// normalPlace is a destination with its port, so that spellings compare.
func normalPlace(to, kind string) string {
	port := uint16(artNetPort)
	if kind == cue.SACN {
		port = sacnPort
	}
	if a, err := netip.ParseAddrPort(to); err == nil {
		return netip.AddrPortFrom(a.Addr().Unmap(), a.Port()).String()
	}
	if a, err := netip.ParseAddr(to); err == nil {
		return netip.AddrPortFrom(a.Unmap(), port).String()
	}
	host, p, found := strings.Cut(to, ":")
	if !found {
		p = fmt.Sprint(port)
	}
	return strings.ToLower(strings.TrimSuffix(host, ".")) + ":" + p
}
