package main

import (
	"fmt"
	"io"
	"net/netip"
	"slices"
	"strings"

	"limn/cue"
	"limn/dmx/artnet"
	"limn/dmx/serial"
)

// printFound prints what a search found, each with lines to paste into rig.toml.
func printFound(w io.Writer, f *finding, shoot *cue.Shoot) error {
	var b strings.Builder
	section := func(head string) { fmt.Fprintf(&b, "%s\n", head) }
	section("asked:")
	for _, a := range f.asked {
		fmt.Fprintf(&b, "  %s\n", a)
	}
	if len(f.asked) == 0 {
		b.WriteString("  no network\n")
	}
	section("networks:")
	for _, n := range f.networks {
		fmt.Fprintf(&b, "  %s\n      interface = %s\n", n, quoteTOML(n.Interface))
	}
	if devices := f.devices(); len(devices) > 0 {
		section("Art-Net nodes:")
		for _, d := range devices {
			b.WriteString(indented(d.text(f.udpPort, shoot)))
		}
	}
	if len(f.senders) > 0 {
		section("sACN senders:")
		for i := range f.senders {
			b.WriteString(indented(f.senders[i].text(shoot)))
		}
	}
	if len(f.adapters) > 0 {
		section("serial ports:")
		for i := range f.adapters {
			b.WriteString(indented(f.adapters[i].text()))
		}
	}
	for i := range f.lines {
		section("fixtures behind " + f.lines[i].title() + ":")
		b.WriteString(indented(f.lines[i].text()))
	}
	_, err := io.WriteString(w, cleanLines(b.String()))
	return err
}

// advice says what helps when nothing answered.
func (f *finding) advice() string {
	return "check cables and power; a node of another network is asked by --poll ADDR, an adapter by --port PATH; sACN senders tell of themselves every 10 s: --wait 11s"
}

func indented(text string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		b.WriteString("  " + line)
	}
	return b.String()
}

func joinedList(words []string) string { return strings.Join(words, ", ") }

// device is all the parts of an Art-Net device.
type device struct {
	addr  netip.Addr
	parts []artnet.Node
}

// devices puts the parts of a device together.
func (f *finding) devices() []device {
	var out []device
	for _, n := range f.nodes {
		i := slices.IndexFunc(out, func(d device) bool { return d.addr == n.Addr })
		if i < 0 {
			i = len(out)
			out = append(out, device{addr: n.Addr})
		}
		out[i].parts = append(out[i].parts, n)
	}
	return out
}

// outputs are the Port-Addresses that a device puts out, ascending.
func (d *device) outputs() []uint16 {
	var out []uint16
	for _, n := range d.parts {
		for _, p := range n.Ports {
			if p.Output && !slices.Contains(out, p.PortAddress) {
				out = append(out, p.PortAddress)
			}
		}
	}
	slices.Sort(out)
	return out
}

// text is a device with its lines.
func (d *device) text(port uint16, shoot *cue.Shoot) string {
	var b strings.Builder
	first := &d.parts[0]
	ports := d.outputs()
	fmt.Fprintf(&b, "%s, a %v", first, first.Style)
	if first.LongName != "" && first.LongName != first.Name {
		fmt.Fprintf(&b, ", %q", first.LongName)
	}
	if len(ports) == 0 {
		b.WriteString(", puts out nothing\n")
		return b.String()
	}
	words := make([]string, len(ports))
	for i, p := range ports {
		words[i] = artnet.FormatPortAddress(p)
	}
	fmt.Fprintf(&b, ", puts out Port-Address %s; when its data stop: %v", joinedList(words), first.Failsafe)
	if first.RDM {
		b.WriteString("; can tell its fixtures (--rdm)")
	}
	b.WriteString("\n")
	for _, n := range d.parts {
		for _, p := range n.Ports {
			if p.Output && p.Merging {
				fmt.Fprintf(&b, "warning: two senders on Port-Address %s; stop one of them\n", artnet.FormatPortAddress(p.PortAddress))
			}
			if p.Output && p.SACN {
				fmt.Fprintf(&b, "warning: Port-Address %s is set to sACN and does not show Art-Net\n", artnet.FormatPortAddress(p.PortAddress))
			}
		}
	}
	to := d.addr.String()
	if port != artnet.Port {
		to = netip.AddrPortFrom(d.addr, port).String()
	}
	if shoot != nil && goesTo(shoot, d.addr) {
		b.WriteString("an output of the shoot goes there\n")
		return b.String()
	}
	b.WriteString(outputLines(outputName(first.Name, d.addr.String()), cue.ArtNet, to, ports))
	return b.String()
}

// goesTo says that an output of a shoot names an address.
func goesTo(shoot *cue.Shoot, a netip.Addr) bool {
	return slices.ContainsFunc(shoot.Outputs, func(o cue.Output) bool {
		to, _, _ := destinations(o.To, artnet.Port)
		return o.Kind == cue.ArtNet && slices.ContainsFunc(to, func(t netip.AddrPort) bool { return t.Addr() == a })
	})
}

// outputLines are the lines of an [[output]]. wire numbers count as their protocol counts; Port-Address 0 takes an offset,
// since universes count from 1.
func outputLines(name, kind, to string, wire []uint16) string {
	offset := 0
	if len(wire) > 0 && wire[0] == 0 {
		offset = -1
	}
	words := make([]string, len(wire))
	for i, n := range wire {
		words[i] = fmt.Sprint(int(n) - offset)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "    [[output]]\n    name = %s\n    kind = %s\n", quoteTOML(name), quoteTOML(kind))
	if to != "" {
		fmt.Fprintf(&b, "    to = %s\n", quoteTOML(to))
	}
	fmt.Fprintf(&b, "    universes = [%s]\n", joinedList(words))
	if offset != 0 {
		fmt.Fprintf(&b, "    offset = %d                       # universe 1 is Port-Address 0 here\n", offset)
	}
	return b.String()
}

// outputName makes a name for rig.toml of what a device calls itself.
func outputName(called, otherwise string) string {
	name := strings.Map(func(r rune) rune {
		if r == ';' || r == '"' || r == '\ufffd' {
			return -1
		}
		return r
	}, clean(called))
	if name = strings.TrimSpace(name); name == "" {
		return otherwise
	}
	return name
}

// text is a sender with what it means.
func (s *foundSender) text(shoot *cue.Shoot) string {
	var b strings.Builder
	words := make([]string, len(s.universes))
	for i, u := range s.universes {
		words[i] = fmt.Sprint(u)
	}
	name := s.name
	if name == "" {
		name = "without a name"
	}
	fmt.Fprintf(&b, "%q at %v sends universe %s", name, s.from, joinedList(words))
	if s.priority >= 0 {
		fmt.Fprintf(&b, " with priority %d", s.priority)
	}
	b.WriteString("\n")
	if shoot != nil {
		for i := range shoot.Outputs {
			o := &shoot.Outputs[i]
			for _, u := range o.Universes {
				if o.Kind == cue.SACN && slices.Contains(s.universes, uint16(u+o.Offset)) {
					fmt.Fprintf(&b, "warning: output %q sends universe %d too, with priority %d\n", o.Name, u+o.Offset, o.Priority)
				}
			}
		}
		return b.String()
	}
	b.WriteString("to send beside it, use other universes, or another priority:\n")
	b.WriteString(outputLines("air", cue.SACN, "", s.universes))
	fmt.Fprintf(&b, "    priority = %d                     # the highest wins; equal ones are mixed or fought over\n", max(s.priority, 0)+1)
	return b.String()
}

// text is a serial port with its lines, if light may hang on it.
func (a *foundAdapter) text() string {
	var b strings.Builder
	b.WriteString(a.String())
	switch {
	case a.err != nil:
		fmt.Fprintf(&b, ": %v\n", a.err)
		return b.String()
	case !a.asked:
		fmt.Fprintf(&b, ": %v; ask it with --port %s if light hangs on it\n", a.Means, a.Port)
		return b.String()
	case a.answer.Kind == serial.Widget:
		p := a.answer.Parameters
		fmt.Fprintf(&b, ": a widget that frames its packets, firmware %d.%d; it repeats the last frame by itself\n", p.Firmware>>8, p.Firmware&0xff)
	default:
		b.WriteString(": answers nothing, so a plain line; when this computer dies it goes silent\n")
	}
	to := a.Port
	if a.Serial != "" {
		to = a.Serial // it may come back under another name
	}
	b.WriteString(outputLines(outputName(a.Text, "adapter"), a.answer.Kind.String(), to, []uint16{1}))
	return b.String()
}
