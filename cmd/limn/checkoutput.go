package main

import (
	"fmt"
	"net/netip"
	"slices"

	"limn/cue"
	"limn/dmx"
	"limn/dmx/artnet"
	"limn/profiles/tomlfile"
)

// outputProblems finds what is doubtful about a shoot's outputs on this computer as it is connected now; the files
// alone cannot tell. Nothing is sent.
func outputProblems(shoot *cue.Shoot) []tomlfile.Problem {
	if shoot == nil {
		return nil
	}
	networks, err := artnet.Networks()
	if err != nil {
		return nil // run will say what is wrong with them
	}
	var ps []tomlfile.Problem
	for i := range shoot.Outputs {
		o := &shoot.Outputs[i]
		what, cure := "", ""
		switch {
		case o.Kind == cue.ArtNet && !o.Discover:
			for _, w := range artNetDoubts(o, networks) {
				ps = append(ps, doubt(o, w, ""))
			}
		case o.Discover || o.Multicast():
			what, cure = wayDoubt(o, networks)
		}
		if what != "" {
			ps = append(ps, doubt(o, what, cure))
		}
	}
	return ps
}

func doubt(o *cue.Output, what, cure string) tomlfile.Problem {
	return tomlfile.Problem{Pos: tomlfile.Pos(o.Origin), Warning: true, What: fmt.Sprintf("output %q: %s", o.Name, what), Cure: cure}
}

// artNetDoubts asks the transport, without what the files have said already: Port-Address 0 and
// broadcasting on purpose.
func artNetDoubts(o *cue.Output, networks []artnet.Network) []string {
	cfg := artNetConfig(o)
	cfg.Universes = slices.DeleteFunc(cfg.Universes, func(u dmx.Universe) bool { return int(u)+o.Offset == 0 })
	cfg.To, _, _ = destinations(o.To, artnet.Port) // names are not looked up
	if o.Broadcast {
		cfg.To = slices.DeleteFunc(cfg.To, func(a netip.AddrPort) bool {
			return slices.ContainsFunc(networks, func(n artnet.Network) bool { return n.Broadcast() == a.Addr() })
		})
	}
	if len(cfg.Universes) == 0 || len(cfg.To) == 0 {
		return nil
	}
	out, err := artnet.NewOutput(cfg)
	if err != nil {
		return []string{err.Error()}
	}
	defer out.Close()
	return out.Warnings()
}

// wayDoubt says that discovery or multicast would not know which network to take, or has none.
func wayDoubt(o *cue.Output, networks []artnet.Network) (what, cure string) {
	var all, fit []string
	for _, n := range networks {
		named := o.Interface == n.Interface || o.Interface == n.Own.Addr().String()
		if named || o.Interface == "" && !n.Loopback {
			fit = append(fit, n.Interface)
		}
		if !n.Loopback {
			all = append(all, n.String())
		}
	}
	there := "it is on " + cue.ShortList(all)
	if len(all) == 0 {
		there = "it is on none at all"
	}
	switch distinct := len(slices.Compact(fit)); {
	case distinct == 1:
		return "", ""
	case distinct > 1:
		return "this computer is on several networks: " + cue.ShortList(all), `write interface = "` + fit[0] + `", or another of them`
	case o.IP6 && o.Interface != "":
		return "", "" // the interface may have IPv6 alone
	case o.Interface == "":
		return "this computer is on no network now", "plug the cable in before limn run"
	}
	return fmt.Sprintf("this computer has no network %q now; %s", o.Interface, there), "plug its cable in, or name another interface"
}
