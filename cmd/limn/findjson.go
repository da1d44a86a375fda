package main

import "limn/dmx/artnet"

// foundObject is what a search found, for programs.
func foundObject(f *finding) object {
	networks, nodes, senders, adapters, lines := []any{}, []any{}, []any{}, []any{}, []any{}
	for _, n := range f.networks {
		networks = append(networks, object{{"interface", n.Interface}, {"address", n.Own.String()}, {"loopback", n.Loopback}})
	}
	for i := range f.nodes {
		nodes = append(nodes, nodeObject(&f.nodes[i]))
	}
	for _, s := range f.senders {
		var priority any
		if s.priority >= 0 {
			priority = s.priority
		}
		senders = append(senders, object{{"name", s.name}, {"from", s.from.String()}, {"universes", s.universes}, {"priority", priority}})
	}
	for i := range f.adapters {
		adapters = append(adapters, adapterObject(&f.adapters[i]))
	}
	for i := range f.lines {
		lines = append(lines, f.lines[i].object())
	}
	asked := f.asked
	if asked == nil {
		asked = []string{}
	}
	o := object{
		{"version", jsonVersion},
		{"asked", asked},
		{"networks", networks},
		{"nodes", nodes},
		{"senders", senders},
		{"adapters", adapters},
	}
	if f.rdm {
		o = append(o, member{"lines", lines})
	}
	return o
}

func nodeObject(n *artnet.Node) object {
	outputs := []any{}
	for _, p := range n.Ports {
		if p.Output {
			outputs = append(outputs, object{
				{"port_address", p.PortAddress},
				{"active", p.Active},
				{"merging", p.Merging},
				{"sacn", p.SACN},
			})
		}
	}
	return object{
		{"address", n.Addr.String()},
		{"part", n.BindIndex},
		{"name", n.Name},
		{"long_name", n.LongName},
		{"style", n.Style.String()},
		{"report", n.Report},
		{"failsafe", n.Failsafe.String()},
		{"rdm", n.RDM},
		{"outputs", outputs},
	}
}

func adapterObject(a *foundAdapter) object {
	var ids, kind, fault any
	if a.USB {
		ids = a.IDs()
	}
	if a.asked && a.err == nil {
		kind = a.answer.Kind.String()
	}
	if a.err != nil {
		fault = a.err.Error()
	}
	return object{
		{"port", a.Port},
		{"usb", ids},
		{"serial", a.Serial},
		{"text", a.Text},
		{"means", a.Means.String()},
		{"kind", kind},
		{"error", fault},
	}
}
