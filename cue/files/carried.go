package files

import (
	"cmp"
	"fmt"
	"slices"

	"limn/cue"
	"limn/fixtures"
	"limn/profiles/tomlfile"
)

// The numbers a network carries: Art-Net's Port-Address has 15 bits and counts from 0 (Art-Net 4
// specification), sACN's universe goes from 1 to 63999 (ANSI E1.31, 6.2.7).
const (
	maxPortAddress  = 32767
	maxSACNUniverse = fixtures.MaxUniverse
)

// numbering is the trap between the two, in words.
const numbering = "sACN counts universes from 1, Art-Net its Port-Addresses from 0, and limn adds the offset and nothing else"

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
			l.ps.Warn(at, "use Port-Address 1 if the node can; nodes that label their first port universe 1 may mean 0; "+numbering,
				"universe %d%s is Port-Address 0, which Art-Net has kept for old nodes only", universe, offset(o))
		}
	case cue.SACN:
		if wire < 1 || wire > maxSACNUniverse {
			l.ps.Error(at, fmt.Sprintf("they go from 1 to %d: choose another universe, or an offset; %s", maxSACNUniverse, numbering),
				"universe %d%s is number %d, which sACN does not have", universe, offset(o), wire)
		}
		if wire == o.SyncUniverse {
			l.ps.Warn(at, "give synchronization a universe of its own", "universe %d%s is also the one that synchronization goes to", universe, offset(o))
		}
	}
}

func offset(o *cue.Output) string {
	if o.Offset == 0 {
		return ""
	}
	return fmt.Sprintf(" with offset %d", o.Offset)
}
