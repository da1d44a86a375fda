package main

import (
	"context"
	"fmt"
	"net/netip"
	"slices"
	"strconv"
	"strings"

	"limn/cue"
	"limn/dmx/artnet"
	"limn/dmx/rdm"
)

// foundLine is what hangs on one output of a node.
type foundLine struct {
	node     artnet.Node
	port     uint16 // Port-Address
	fixtures []rdm.Fixture
	warnings []string
	err      error
}

func (l *foundLine) title() string {
	return fmt.Sprintf("%s, Port-Address %s", &l.node, artnet.FormatPortAddress(l.port))
}

// fixtures asks the nodes that can talk RDM, and those that were named, for the fixtures on their lines.
func (s *search) fixtures(ctx context.Context, nodes []artnet.Node, shoot *cue.Shoot) []foundLine {
	var out []foundLine
	for i := range nodes {
		n := &nodes[i]
		if !n.RDM && !slices.Contains(s.poll, n.Addr) {
			continue
		}
		for _, p := range n.Ports {
			if !p.Output || slices.ContainsFunc(out, func(l foundLine) bool { return l.node.Addr == n.Addr && l.port == p.PortAddress }) {
				continue
			}
			line := foundLine{node: *n, port: p.PortAddress}
			client, err := s.client(n, p.PortAddress)
			if err == nil {
				line.fixtures, err = client.Fixtures(ctx)
			}
			line.err = err
			if shoot != nil {
				line.warnings = rdm.Compare(line.fixtures, patchOf(shoot, n.Addr, p.PortAddress))
			}
			out = append(out, line)
		}
	}
	return out
}

// client speaks to one output of a node through the search's own socket.
func (s *search) client(n *artnet.Node, port uint16) (*rdm.Client, error) {
	i := slices.IndexFunc(s.lookouts, func(d *artnet.Discovery) bool {
		return slices.ContainsFunc(d.Nodes(), func(m artnet.Node) bool { return m.Addr == n.Addr })
	})
	if i < 0 {
		return nil, fmt.Errorf("%s does not answer any more", n)
	}
	lookout := s.lookouts[i]
	c, err := rdm.NewClient(rdm.Config{
		Node: netip.AddrPortFrom(n.Addr, s.udpPort), PortAddress: port,
		Send: func(to netip.AddrPort, b []byte) error { return lookout.Send(to.Addr(), b) },
	})
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.clients = append(s.clients, c)
	return c, nil
}

// patchOf is what a shoot has at a node's Port-Address.
func patchOf(shoot *cue.Shoot, node netip.Addr, port uint16) []rdm.Patch {
	var out []rdm.Patch
	for i := range shoot.Outputs {
		o := &shoot.Outputs[i]
		to, _, _ := destinations(o.To, artnet.Port)
		here := o.Discover || slices.ContainsFunc(to, func(a netip.AddrPort) bool { return a.Addr() == node })
		if o.Kind != cue.ArtNet || !here {
			continue
		}
		for j := range shoot.Rig.Sources {
			src := &shoot.Rig.Sources[j]
			if src.Hand || src.Universe+o.Offset != int(port) || !slices.Contains(o.Universes, src.Universe) {
				continue
			}
			for _, a := range src.Addresses {
				p := rdm.Patch{Name: src.Name, Address: a, Footprint: src.Profile.Footprint()}
				if !slices.Contains(out, p) {
					out = append(out, p)
				}
			}
		}
	}
	return out
}

// text is a line's fixtures with what is wrong about them.
func (l *foundLine) text() string {
	var b strings.Builder
	for i := range l.fixtures {
		f := &l.fixtures[i]
		fmt.Fprintf(&b, "%s  %q", f.UID, f.Name())
		if f.Model != "" && f.Model != f.Name() {
			fmt.Fprintf(&b, ", %q", f.Model)
		}
		switch {
		case f.StartAddress > 0:
			fmt.Fprintf(&b, ", address %d", f.StartAddress)
		default:
			b.WriteString(", no address")
		}
		fmt.Fprintf(&b, ", %s", count(f.Footprint, "slot"))
		if mode := f.ModeName(); mode != "" {
			fmt.Fprintf(&b, ", %s", mode)
		}
		if f.Missing != "" {
			fmt.Fprintf(&b, "; %s", f.Missing)
		}
		b.WriteString("\n")
	}
	if l.err != nil {
		fmt.Fprintf(&b, "warning: %v\n", l.err)
	} else if len(l.fixtures) == 0 {
		b.WriteString("none that answers\n")
	}
	for _, w := range l.warnings {
		fmt.Fprintf(&b, "warning: %s\n", w)
	}
	return b.String()
}

func (l *foundLine) object() object {
	fixtures := []any{}
	for i := range l.fixtures {
		f := &l.fixtures[i]
		modes := []any{}
		for _, m := range f.Modes {
			modes = append(modes, object{{"number", m.Number}, {"slots", m.Slots}, {"name", m.Name}})
		}
		fixtures = append(fixtures, object{
			{"uid", f.UID.String()},
			{"label", f.Label},
			{"model", f.Model},
			{"manufacturer", f.Manufacturer},
			{"address", f.StartAddress},
			{"slots", f.Footprint},
			{"mode", f.Mode},
			{"modes", modes},
			{"missing", f.Missing},
		})
	}
	warnings := l.warnings
	if warnings == nil {
		warnings = []string{}
	}
	var fault any
	if l.err != nil {
		fault = l.err.Error()
	}
	return object{
		{"node", l.node.Addr.String()},
		{"port_address", l.port},
		{"fixtures", fixtures},
		{"warnings", warnings},
		{"error", fault},
	}
}

// parseReaddress reads "7a70:00000001=101".
func parseReaddress(text string) (rdm.UID, int, error) {
	const cure = "write the fixture's UID and its new address, as in --set-address 7a70:00000001=101; limn find --rdm lists the fixtures"
	left, right, ok := strings.Cut(text, "=")
	if !ok {
		return rdm.UID{}, 0, usagef(cure, "--set-address: %q has no =", text)
	}
	uid, err := rdm.ParseUID(strings.TrimSpace(left))
	if err != nil {
		return uid, 0, usagef(cure, "--set-address: %v", err)
	}
	address, err := strconv.Atoi(strings.TrimSpace(right))
	if err != nil || address < 1 || address > 512 {
		return uid, 0, usagef(cure, "--set-address: %q is no address from 1 to 512", right)
	}
	return uid, address, nil
}

// readdress gives a fixture another start address, after a question.
func (f *findFlags) readdress(ctx context.Context, s *search, found *finding, uid rdm.UID, address int, std stdio) error {
	for i := range found.lines {
		l := &found.lines[i]
		j := slices.IndexFunc(l.fixtures, func(x rdm.Fixture) bool { return x.UID == uid })
		if j < 0 {
			continue
		}
		fixture := &l.fixtures[j]
		what := fmt.Sprintf("%s %q behind %s moves from address %d to %d, and shows at once what that slot holds, which may be full", uid, fixture.Name(), l.title(), fixture.StartAddress, address)
		if err := f.agree(ctx, what, std); err != nil {
			return err
		}
		client, err := s.client(&l.node, l.port)
		if err != nil {
			return failuref(statusUnreachable, "", "%v", err)
		}
		if err := client.SetStartAddress(ctx, uid, address); err != nil {
			return failuref(statusFailed, "", "%v", err)
		}
		_, err = fmt.Fprintf(std.Out, "%s %s is at address %d now; write address = %d into its [[source]]\n", uid, clean(quoteTOML(fixture.Name())), address, address)
		return err
	}
	return failuref(statusUnreachable, "limn find --rdm lists the fixtures", "no fixture with the UID %s answers", uid)
}
