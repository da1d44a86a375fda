package rdm

import (
	"fmt"
	"slices"
	"strings"
)

// Patch is what a file says of one unit on a line.
type Patch struct {
	Name      string // for the messages: "sky"
	Address   int    // its first slot, from 1
	Footprint int    // how many slots it takes
	UID       UID    // the zero value if the file does not say
}

// Disagree says in words where a fixture and what a file says of it differ; nothing if they agree. Each line says what is
// wrong and what would be right.
func Disagree(f Fixture, p Patch) []string {
	var out []string
	if f.StartAddress != p.Address {
		switch {
		case f.Footprint == 0 || f.StartAddress == 0:
			out = append(out, fmt.Sprintf("%q: %s takes no slots in its present mode, the file gives it address %d; choose another mode at the device", p.Name, f.Name(), p.Address))
			return out
		default:
			out = append(out, fmt.Sprintf("%q: %s listens to address %d, the file says %d; set the device to %d, or write address = %d",
				p.Name, f.Name(), f.StartAddress, p.Address, p.Address, f.StartAddress))
		}
	}
	if f.Footprint != p.Footprint {
		mode := f.ModeName()
		if mode != "" {
			mode = " in " + mode
		}
		out = append(out, fmt.Sprintf("%q: %s takes %s%s, its profile has %d; %s",
			p.Name, f.Name(), slots(f.Footprint), mode, p.Footprint, f.cure(p.Footprint)))
	}
	return out
}

// cure names the modes that would fit.
func (f *Fixture) cure(footprint int) string {
	var fit []string
	for _, m := range f.Modes {
		if m.Slots == footprint && m.Number != f.Mode {
			fit = append(fit, f.modeName(m.Number))
		}
	}
	if len(fit) == 0 {
		return fmt.Sprintf("give it a profile with %s", slots(f.Footprint))
	}
	return fmt.Sprintf("choose %s at the device, or give it a profile with %s", strings.Join(fit, " or "), slots(f.Footprint))
}

func slots(n int) string {
	if n == 1 {
		return "1 slot"
	}
	return fmt.Sprintf("%d slots", n)
}

// Compare holds the fixtures of a line against what a file says of it, and gives a warning a line: units that nothing
// answers for, fixtures that differ from their unit, fixtures that no unit is for, and fixtures whose slots overlap. A unit is that of its UID,
// else that of its address.
func Compare(fixtures []Fixture, patch []Patch) []string {
	var out []string
	used := make([]bool, len(fixtures))
	for _, p := range patch {
		i := find(fixtures, used, p)
		if i < 0 {
			if p.UID != (UID{}) {
				out = append(out, fmt.Sprintf("%q: %v is not on the line; look to its cable and power, or correct its UID in the file", p.Name, p.UID))
			} else {
				out = append(out, fmt.Sprintf("%q: no RDM device listens to address %d; that is right for a light without RDM", p.Name, p.Address))
			}
			continue
		}
		used[i] = true
		out = append(out, Disagree(fixtures[i], p)...)
	}
	for i, f := range fixtures {
		if used[i] || f.Footprint == 0 || f.StartAddress == 0 {
			continue
		}
		// Several units may share an address on purpose.
		if j := slices.IndexFunc(patch, func(p Patch) bool { return p.UID == (UID{}) && p.Address == f.StartAddress }); j >= 0 {
			out = append(out, Disagree(f, patch[j])...)
			continue
		}
		out = append(out, fmt.Sprintf("%s (%v) at address %d, %s, is in no source of the file", f.Name(), f.UID, f.StartAddress, slots(f.Footprint)))
	}
	return append(out, overlaps(fixtures)...)
}

func find(fixtures []Fixture, used []bool, p Patch) int {
	for i, f := range fixtures {
		if p.UID != (UID{}) {
			if f.UID == p.UID {
				return i
			}
		} else if !used[i] && f.StartAddress == p.Address && f.Footprint > 0 {
			return i
		}
	}
	return -1
}

// overlaps finds fixtures that share slots without being at one address, where sharing is on purpose.
func overlaps(fixtures []Fixture) []string {
	at := slices.DeleteFunc(slices.Clone(fixtures), func(f Fixture) bool { return f.Footprint == 0 || f.StartAddress == 0 })
	slices.SortStableFunc(at, func(a, b Fixture) int { return a.StartAddress - b.StartAddress })
	var out []string
	for i := 1; i < len(at); i++ {
		a, b := &at[i-1], &at[i]
		if a.StartAddress != b.StartAddress && a.StartAddress+a.Footprint > b.StartAddress {
			out = append(out, fmt.Sprintf("%s takes addresses %d to %d and %s begins at %d among them; move one of them",
				a.Name(), a.StartAddress, a.StartAddress+a.Footprint-1, b.Name(), b.StartAddress))
		}
	}
	return out
}
