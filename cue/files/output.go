package files

import (
	"cmp"
	"fmt"
	"net/netip"
	"slices"

	"limn/cue"
	"limn/fixtures"
	"limn/profiles/tomlfile"
)

// The numbers a network carries: Art-Net's Port-Address has 15 bits (Art-Net 4
// specification), sACN's universe goes from 1 to 63999 (ANSI E1.31, 6.2.7).
const (
	maxPortAddress  = 32767
	maxSACNUniverse = fixtures.MaxUniverse
)

// Ports that a network address without one means.
const (
	artNetPort = 6454
	sacnPort   = 5568
)

// output reads one [[output]].
func (l *loader) output(t *tomlfile.Table) {
	if !l.room(len(l.shoot.Outputs), cue.MaxNames, "outputs", t) {
		return
	}
	o := cue.Output{Origin: origin(t.Pos()), OnExit: cue.Leave}
	o.Name = l.name(t, `name = "bench"`)
	t.Require("kind", `kind = "artnet"`)
	o.Kind, _ = t.OneOf("kind", cue.OutputKinds()...)
	o.To = l.destinations(t, o.Kind)
	if exit, ok := t.OneOf("on-exit", cue.Leave, cue.FadeOut, cue.GoDark); ok {
		o.OnExit = exit
	}
	o.Offset, _ = t.Int("offset")
	if o.Offset != 0 && isUSB(o.Kind) {
		l.ps.Error(t.ValuePos("offset"), "take it out", "a usb adapter has one line and no universe numbers, so no offset")
	}
	o.Universes = l.carried(t, &o)
	l.later(t, &o)
	l.shoot.Outputs = append(l.shoot.Outputs, o)
}

func isUSB(kind string) bool { return kind == cue.USB || kind == cue.USBRaw || kind == cue.USBWidget }

// later says plainly what this version reads but cannot do yet.
func (l *loader) later(t *tomlfile.Table, o *cue.Output) {
	switch o.Kind {
	case cue.SACN:
		l.ps.Warn(t.ValuePos("kind"), `use kind = "artnet" with a node that takes it, or wait for a later version`,
			"output %s is read and checked, but this version does not send sACN yet", tomlfile.Quote(o.Name))
	case cue.USB:
		l.ps.Warn(t.ValuePos("kind"), `write "usb widget" for an adapter that frames its own packets, "usb raw" for a plain serial line`,
			"output %s is read and checked, but this version does not detect the kind of adapter yet", tomlfile.Quote(o.Name))
	}
}

// destinations reads where an output goes: a text or a list of them.
func (l *loader) destinations(t *tomlfile.Table, kind string) []string {
	example := `to = "127.0.0.1"`
	if isUSB(kind) {
		example = `to = "/dev/ttyUSB0"`
	}
	if kind != cue.SACN && kind != "" { // sACN without a destination is multicast
		t.Require("to", example)
	}
	v, ok := t.Value("to")
	if !ok {
		return nil
	}
	values, isList := v.List()
	if !isList {
		values = []tomlfile.Value{v}
	}
	if len(values) == 0 {
		l.ps.Error(v.Pos(), "write "+example, "the list of destinations is empty")
	}
	if isUSB(kind) && len(values) > 1 {
		l.ps.Error(v.Pos(), "write an [[output]] for each adapter", "a usb output has one adapter, this has %d", len(values))
	}
	var out []string
	for _, v := range values {
		text, ok := tomlfile.ReadValue(v, func(s string) (string, error) { return s, destination(s, kind) })
		switch {
		case !ok:
		case slices.Contains(out, text):
			l.ps.Error(v.Pos(), "write it once", "%s is there twice", tomlfile.Quote(text))
		default:
			out = append(out, text)
		}
	}
	return out
}

// carried reads the universes of an output and checks the numbers on the wire.
func (l *loader) carried(t *tomlfile.Table, o *cue.Output) []int {
	if !t.Require("universes", "universes = [1]") {
		return nil
	}
	v, _ := t.Value("universes")
	values, ok := v.List()
	if !ok {
		cure := "write universes = [1]"
		if n, isInt := v.Integer(); isInt {
			cure = fmt.Sprintf("write universes = [%d]", n)
		}
		l.ps.Error(v.Pos(), cure, "universes is %s, a list is wanted", v.Kind())
		return nil
	}
	switch {
	case len(values) == 0:
		l.ps.Error(v.Pos(), "write universes = [1]", "the list of universes is empty")
	case len(values) > cue.MaxUniverses:
		l.ps.Error(v.Pos(), "split it in several outputs", "one output carries %d universes, more than %d", len(values), cue.MaxUniverses)
		return nil
	case isUSB(o.Kind) && len(values) > 1:
		l.ps.Error(v.Pos(), "write an [[output]] for each adapter", "a usb adapter has one line, this output names %d universes", len(values))
	}
	var out []int
	for _, v := range values {
		n, ok := v.Integer()
		switch {
		case !ok:
			l.ps.Error(v.Pos(), "write universes = [1, 2]", "a universe is %s, a whole number is wanted", v.Kind())
		case n < 1 || n > fixtures.MaxUniverse:
			l.ps.Error(v.Pos(), fmt.Sprintf("universes count from 1 to %d", fixtures.MaxUniverse), "there is no universe %d", n)
		case slices.Contains(out, n):
			l.ps.Error(v.Pos(), "write it once", "universe %d is there twice", n)
		default:
			out = append(out, n)
			l.onWire(v.Pos(), o, n)
		}
	}
	slices.SortFunc(out, cmp.Compare[int])
	for _, n := range out {
		if l.universes == nil {
			l.universes = map[int]bool{}
		}
		l.universes[n] = true
	}
	return out
}

// onWire checks the number a universe has on its network.
func (l *loader) onWire(at tomlfile.Pos, o *cue.Output, universe int) {
	wire := universe + o.Offset
	switch o.Kind {
	case cue.ArtNet:
		switch {
		case wire < 0 || wire > maxPortAddress:
			l.ps.Error(at, fmt.Sprintf("Port-Addresses go from 0 to %d, and 0 is for old nodes: choose another universe, or an offset", maxPortAddress),
				"universe %d%s is Port-Address %d, which Art-Net does not have", universe, offset(o), wire)
		case wire == 0:
			l.ps.Warn(at, "use Port-Address 1 if the node can; nodes that label their first port universe 1 may mean 0",
				"universe %d%s is Port-Address 0, which Art-Net has kept for old nodes only", universe, offset(o))
		}
	case cue.SACN:
		if wire < 1 || wire > maxSACNUniverse {
			l.ps.Error(at, fmt.Sprintf("they go from 1 to %d: choose another universe, or an offset", maxSACNUniverse),
				"universe %d%s is number %d, which sACN does not have", universe, offset(o), wire)
		}
	}
}

func offset(o *cue.Output) string {
	if o.Offset == 0 {
		return ""
	}
	return fmt.Sprintf(" with offset %d", o.Offset)
}

// crossing finds outputs that send different things to one and the same place:
// the receiver would jump between the two.
func (l *loader) crossing() {
	type place struct {
		to   string
		wire int
	}
	seen := map[place]*cue.Output{}
	for i := range l.shoot.Outputs {
		o := &l.shoot.Outputs[i]
		said := false
		for _, to := range o.To {
			for _, u := range o.Universes {
				p := place{normalPlace(to, o.Kind), u + o.Offset}
				if isUSB(o.Kind) {
					p.wire = 0
				}
				first, twice := seen[p]
				if !twice {
					seen[p] = o
					continue
				}
				if said || first == o {
					continue
				}
				said = true
				what, cure := fmt.Sprintf("universe number %d at %s", p.wire, to), "take one out, or change its offset"
				if isUSB(o.Kind) {
					what, cure = to, "give each adapter one output"
				}
				l.ps.Error(tomlfile.Pos(o.Origin), cure, "outputs %s and %s both send to %s",
					tomlfile.Quote(first.Name), tomlfile.Quote(o.Name), what)
			}
		}
	}
}

// normalPlace is a destination with its port, so that spellings compare.
func normalPlace(to, kind string) string {
	port := uint16(artNetPort)
	switch {
	case isUSB(kind):
		return to
	case kind == cue.SACN:
		port = sacnPort
	}
	if a, err := netip.ParseAddrPort(to); err == nil {
		return a.String()
	}
	if a, err := netip.ParseAddr(to); err == nil {
		return netip.AddrPortFrom(a, port).String()
	}
	return to
}
