package main

import (
	"context"
	"fmt"
	"net/netip"

	"limn/dmx/artnet"
	"limn/dmx/sacn"
)

// open makes the receivers that the flags ask for. Without any it is both protocols
// on loopback, where it goes on with one if the other's port is taken.
func (f *listenFlags) open(ctx context.Context, told *reader, std stdio) (*hearing, error) {
	h := &hearing{heard: &reception{}}
	h.keeper = newKeeper(func(text string) { note(std.Err, "%s", text) })
	h.heard.keep = h.keeper.artNet
	if f.iface != "" && (f.artnet != "" || f.sacn != "") {
		return nil, usagef("give one of them", "--interface and an address cannot stand together")
	}
	for _, u := range f.universe {
		if u < 1 || u > sacn.MaxUniverse {
			return nil, usagef("universes count from 1 to 63999", "--universe: there is no universe %d", u)
		}
	}
	if len(f.universe) > maxJoined {
		return nil, usagef("name fewer, or run a second limn listen", "--universe: %d are more than %d that can be listened to", len(f.universe), maxJoined)
	}
	if f.iface != "" {
		return h, f.openInterface(h, told, std)
	}
	either := f.artnet == "" && f.sacn == ""
	var failed error
	if f.artnet != "" || either {
		err := f.openArtNet(ctx, h, std)
		if err != nil && !either {
			return nil, err
		}
		failed = err
	}
	if f.sacn != "" || either {
		err := f.openSACN(ctx, h, std)
		switch {
		case err != nil && (!either || failed != nil):
			h.close()
			return nil, err
		case err != nil:
			failed = err
		}
	}
	if failed != nil {
		note(std.Err, "warning: %v", failed)
	}
	return h, nil
}

// maxJoined is how many multicast universes are listened to at once.
const maxJoined = 512

const portTaken = "another program may hold the port; give another one by --artnet or --sacn, or end that program"

func (f *listenFlags) openArtNet(ctx context.Context, h *hearing, std stdio) error {
	addr, err := parseAddress(ctx, f.artnet, artnet.Port)
	if err != nil {
		return usagef("limn listen --artnet 127.0.0.1:6454", "--artnet %q: %v", f.artnet, err)
	}
	r, err := artnet.Listen(addr, h.heard.heard)
	if err != nil {
		return failuref(statusUnreachable, portTaken, "cannot listen on %s: %v", addr, err)
	}
	h.artnet = append(h.artnet, r)
	note(std.Err, "listening for Art-Net on %s; Ctrl-C ends it", r.Addr())
	return nil
}

func (f *listenFlags) openSACN(ctx context.Context, h *hearing, std stdio) error {
	addr, err := parseAddress(ctx, f.sacn, sacn.Port)
	if err != nil {
		return usagef("limn listen --sacn 127.0.0.1:5568", "--sacn %q: %v", f.sacn, err)
	}
	r, err := sacn.Listen(sacn.ListenConfig{Addr: addr}, h.keeper.sacn)
	if err != nil {
		return failuref(statusUnreachable, portTaken, "cannot listen on %s: %v", addr, err)
	}
	h.sacn = r
	note(std.Err, "listening for sACN on %s; Ctrl-C ends it", r.Addr())
	return nil
}

// openInterface listens on one network: for Art-Net to this computer and to everybody there, for sACN by multicast.
func (f *listenFlags) openInterface(h *hearing, told *reader, std stdio) error {
	all, err := artnet.Networks()
	if err != nil {
		return failuref(statusUnreachable, "", "this computer's networks cannot be listed: %v", err)
	}
	networks, err := chosen(all, []string{f.iface})
	if err != nil {
		return err
	}
	n := networks[0]
	r, err := artnet.Listen(netip.AddrPortFrom(n.Own.Addr(), artnet.Port), h.heard.heard)
	if err != nil {
		return failuref(statusUnreachable, portTaken, "cannot listen for Art-Net on %s: %v", n, err)
	}
	h.artnet = append(h.artnet, r)
	how := ""
	if all := n.Broadcast(); all != n.Own.Addr() {
		if r, err := artnet.Listen(netip.AddrPortFrom(all, artnet.Port), h.heard.heard); err == nil {
			h.artnet = append(h.artnet, r)
			how = " and to everybody there"
		}
	}
	note(std.Err, "listening for Art-Net on %s%s; Ctrl-C ends it", n, how)
	wire := f.wireUniverses(told)
	h.sacn, err = sacn.Listen(sacn.ListenConfig{Groups: sacn.Groups4, Interface: n.Own.Addr().String(), Universes: wire, Discovery: true}, h.keeper.sacn)
	if err != nil {
		h.close()
		return failuref(statusUnreachable, portTaken, "cannot listen for sACN on %s: %v", n, err)
	}
	note(std.Err, "listening for sACN on %s, %s; --universe names others", n, fmt.Sprintf("universe %s", joinedNumbers(wire)))
	return nil
}

// wireUniverses are those whose multicast is joined.
func (f *listenFlags) wireUniverses(told *reader) []uint16 {
	var out []uint16
	switch {
	case f.chosen:
		for _, u := range f.universe {
			out = append(out, uint16(u))
		}
	case told != nil:
		out = append(out, told.numbers...)
	default:
		for u := range uint16(listenedUniverses) {
			out = append(out, u+1)
		}
	}
	return out
}

func joinedNumbers(ns []uint16) string {
	if len(ns) > 2 && int(ns[len(ns)-1])-int(ns[0]) == len(ns)-1 {
		return fmt.Sprintf("%d to %d", ns[0], ns[len(ns)-1])
	}
	words := make([]string, len(ns))
	for i, n := range ns {
		words[i] = fmt.Sprint(n)
	}
	return joinedList(words)
}
