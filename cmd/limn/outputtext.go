package main

import (
	"fmt"
	"slices"
	"strings"

	"limn/cue"
	"limn/dmx"
	"limn/dmx/artnet"
)

// whereText says where an output goes.
func whereText(o *cue.Output) string {
	var parts []string
	if len(o.To) > 0 {
		parts = append(parts, strings.Join(o.To, ", "))
	}
	by := ""
	if o.Interface != "" {
		by = " on " + o.Interface
	}
	if o.Discover {
		parts = append(parts, "whatever nodes are found"+by)
	}
	if o.Multicast() {
		parts = append(parts, "multicast"+by)
	}
	if len(parts) == 0 {
		return "the adapter that is found"
	}
	return strings.Join(parts, " and ")
}

// universeText gives an output's universes, and what they are called on a wire
// that counts in its own way.
func universeText(o *cue.Output) string {
	text := "universe " + joined(universes(o.Universes))
	switch {
	case o.Kind == cue.SACN && o.Offset != 0:
		wire := make([]string, len(o.Universes))
		for i, u := range o.Universes {
			wire[i] = fmt.Sprint(u + o.Offset)
		}
		return text + " = sACN " + strings.Join(wire, ", ")
	case o.Kind != cue.ArtNet:
		return text
	}
	ports := make([]string, len(o.Universes))
	for i, u := range o.Universes {
		port, err := artnet.PortAddress(dmx.Universe(u), o.Offset)
		if err != nil { // the check of the files has passed it
			ports[i] = "?"
			continue
		}
		ports[i] = artnet.FormatPortAddress(port)
	}
	return text + " = Port-Address " + strings.Join(ports, ", ")
}

// survives says what the lights of an output do when this computer stops sending for good. A node's
// failsafe is what ArtPollReply calls it; the 2.5 s are E131_NETWORK_DATA_LOSS_TIMEOUT of ANSI E1.31, appendix A;
// that a widget repeats is its protocol's rule.
func survives(o *cue.Output) string {
	switch o.Kind {
	case cue.ArtNet:
		return "the node holds the last frame, or follows its own failsafe setting (hold, dark, full or a stored scene); limn find says which"
	case cue.SACN:
		return "data is lost after 2.5 s, and the receiver follows its own rule (hold, fade or dark)"
	case cue.USBRaw:
		return "the line goes silent at once, the last frame is lost, and the light follows its own rule: most go dark, some hold"
	case cue.USBWidget:
		return "the adapter repeats the last frame by itself as long as it has power"
	}
	return "it depends on the adapter: one that frames its packets repeats the last frame while it has power, a plain serial line goes silent at once; limn find says which it is"
}

// deaths says for every output in a line what its lights do if the computer dies.
func deaths(s *cue.Shoot) []string {
	var out []string
	for i := range s.Outputs {
		o := &s.Outputs[i]
		var on []string
		for j := range s.Rig.Sources {
			src := &s.Rig.Sources[j]
			if !src.Hand && slices.Contains(o.Universes, src.Universe) {
				on = append(on, src.Name)
			}
		}
		if len(on) > 0 {
			out = append(out, fmt.Sprintf("%s (%s): %s", o.Name, strings.Join(on, ", "), survives(o)))
		}
	}
	var hand []string
	for i := range s.Rig.Sources {
		if s.Rig.Sources[i].Hand {
			hand = append(hand, s.Rig.Sources[i].Name)
		}
	}
	if len(hand) > 0 {
		out = append(out, strings.Join(hand, ", ")+": set by hand, stays as it is")
	}
	return out
}
