package cue

import (
	"strings"

	"limn/fixtures"
)

// order lists the cues so that each comes after the one it comes from, and
// reports unknown names and cycles. Cues of a cycle are left out.
func (v *resolver) order() []int {
	const (
		fresh = iota
		open
		done
	)
	cues := v.shoot.Cues
	mark := make([]uint8, len(cues))
	order := make([]int, 0, len(cues))
	var chain []int
	for i := range cues {
		chain = chain[:0]
		for at := i; mark[at] == fresh; {
			mark[at] = open
			chain = append(chain, at)
			from, ok := v.from(at)
			if !ok {
				break
			}
			if mark[from] == open {
				v.cycle(chain, from)
				break
			}
			at = from
		}
		for j := len(chain) - 1; j >= 0; j-- {
			mark[chain[j]] = done
			order = append(order, chain[j])
		}
	}
	return order
}

// from is the cue that cue i comes from.
func (v *resolver) from(i int) (int, bool) {
	c := &v.shoot.Cues[i]
	if c.From == "" {
		return 0, false
	}
	from, ok := v.cues[c.From]
	if !ok {
		v.missing(c.FromAt, v.didYouMean("cue", c.From, (*Shoot).CueNames), "no cue is called %q", c.From)
		return 0, false
	}
	v.children[from]++
	return from, true
}

// maxChain is how many cues of a cycle a message names.
const maxChain = 12

// cycle reports the end of a chain that leads back to one of its own cues,
// named in full: "dusk from bow from dusk".
func (v *resolver) cycle(chain []int, back int) {
	start := 0
	for chain[start] != back {
		start++
	}
	loop := chain[start:]
	var words []string
	for n, i := range loop {
		if n == maxChain {
			words = append(words, "...")
			break
		}
		words = append(words, v.shoot.Cues[i].Name)
	}
	words = append(words, v.shoot.Cues[back].Name)
	first := &v.shoot.Cues[back]
	v.findings.err(first.FromAt, "give one of them its light in full, without from",
		"cue %q comes from itself: %s", first.Name, strings.Join(words, " from "))
}

// at is the place of item i, or a fallback for shoots that were not read from files.
func at(places []fixtures.Origin, i int, fallback fixtures.Origin) fixtures.Origin {
	if i < len(places) {
		return places[i]
	}
	return fallback
}
