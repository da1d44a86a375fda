package artnet

import (
	"fmt"
	"slices"
)

// fullRate is how often a second a universe that changes all the time goes out: the most a DMX512-A line with 512
// slots can carry (ANSI E1.11).
const fullRate = 44

// maxFindings bounds what is told of nodes.
const maxFindings = 16

// watch finds what an operator should know of the nodes that put out our universes: two senders mixed, and ports that are set to
// another protocol.
func (o *Output) watch(v *view) []string {
	var out []string
	for i := range v.nodes {
		n := &v.nodes[i]
		if n.Presence == Gone || len(out) >= maxFindings {
			continue
		}
		for _, p := range n.Ports {
			if !p.Output || !o.feeds(n, p.PortAddress) {
				continue
			}
			if p.Merging {
				out = append(out, mergeText(n, p))
			}
			if p.SACN {
				out = append(out, fmt.Sprintf("%s is set to show sACN on Port-Address %s, not Art-Net; set the port to Art-Net", n, FormatPortAddress(p.PortAddress)))
			}
		}
	}
	return out
}

// feeds says that the output sends a Port-Address to a node.
func (o *Output) feeds(n *Node, address uint16) bool {
	if !slices.ContainsFunc(o.encoders, func(e *Encoder) bool { return e.portAddress() == address }) {
		return false
	}
	return o.subscribe || slices.ContainsFunc(o.dests, func(d *destination) bool { return d.to.Addr() == n.Addr })
}

// see keeps what was found out about nodes.
func (s *status) see(findings []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.findings = findings
}

// Warnings lists what does not stop the light but should be known, each with its cure: nodes that are on none
// of this computer's networks, broadcasting, Port-Address 0, a second sender that a node mixes ours with. It
// asks the system, so it is not for every frame.
func (o *Output) Warnings() []string {
	networks, err := o.cfg.networks()
	o.sending.Lock()
	var out []string
	for _, d := range o.dests {
		if d.gone || !d.to.IsValid() || err != nil {
			continue
		}
		a := d.to.Addr()
		if words := offNetwork(a, networks); words != "" {
			out = append(out, words)
			continue
		}
		if n, _ := networkOf(a, networks); n.Broadcast() == a && n.Own.Bits() < 31 {
			out = append(out, fmt.Sprintf("ArtDmx goes to everybody on %s, up to %d packets a second that every device there must read, "+
				"and wireless networks slow down; name the nodes instead", n, fullRate*len(o.universes)))
		}
	}
	if i := slices.IndexFunc(o.encoders, func(e *Encoder) bool { return e.portAddress() == 0 }); i >= 0 {
		out = append(out, fmt.Sprintf("universe %d goes to Port-Address 0, which new devices may not have; use 1 and above unless the node's own label says otherwise", o.universes[i]))
	}
	o.sending.Unlock()
	o.status.mu.Lock()
	defer o.status.mu.Unlock()
	return append(out, o.status.findings...)
}
