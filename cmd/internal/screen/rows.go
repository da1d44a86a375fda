package screen

import (
	"fmt"
	"math"
	"strings"

	"limn/cue"
)

// handRow is the light in hand: its name, level and colour in the user's words, what a
// meter would read, and how far it can still go.
func handRow(seen *Seen, ui *state, width int) string {
	if ui.hand < 0 || ui.hand >= len(seen.Shoot.Rig.Sources) {
		return fit(set(quiet, " no light to take in hand"), width)
	}
	src := &seen.Shoot.Rig.Sources[ui.hand]
	name := " " + mark + clean(src.Name) + " "
	var facts []string
	if ui.hand < len(seen.Snap.Sources) {
		facts = factsOf(&seen.Snap.Sources[ui.hand])
	}
	if src.Hand {
		facts = append(facts, "set by hand")
	}
	return set(turned, fit(name, width)) + fit("  "+strings.Join(facts, " · "), max(width-columns(name), 0))
}

func factsOf(s *cue.SourceSnapshot) []string {
	var out []string
	if s.Level == "" {
		return []string{"no cue yet"}
	}
	out = append(out, worded(s.Level, s.Colour))
	if s.Lux > 0 && !math.IsInf(s.Lux, 0) {
		out = append(out, fmt.Sprintf("%.0f lx", s.Lux))
	}
	if !math.IsNaN(s.Headroom) && !math.IsInf(s.Headroom, 0) {
		out = append(out, fmt.Sprintf("%.1f stops left", s.Headroom))
	}
	if s.Trimmed {
		out = append(out, "kept: "+worded(s.KeptLevel, s.KeptColour))
	}
	return out
}

func worded(level, colour string) string {
	level, colour = clean(level), clean(colour)
	if colour == "" || level == "off" {
		return level
	}
	return level + "  " + colour
}

// Widths of the two cells that are always at the right end of the last row.
const (
	workColumns = 20
	darkColumns = 20
)

// fixedRow is the last row of the screen: how the sending goes, and at its right end, always in
// the same place, work light and dark.
func fixedRow(seen *Seen, ui *state, width int) string {
	s := seen.Snap
	first := either(ui.line != nil, "Esc ", "") // while words are typed, keys are letters
	work := first + ui.keys.cap1(Work) + " work light " + either(s.Work, signOver, signNot)
	if s.Work {
		work = set(turned, " "+work)
	} else {
		work = " " + set(strong, work)
	}
	key := ui.keys.cap1(Dark)
	dark := " " + first + key + " " + key + " dark ○"
	switch {
	case s.Dark:
		dark = set(turned, " "+first+ui.keys.cap1(Light)+" light again ● ")
	case ui.armed == Dark:
		dark = set(turned, " "+key+" once more: dark ")
	default:
		dark = set(strong, dark)
	}
	right := pad(fit(work, workColumns), workColumns) + pad(fit(dark, darkColumns), darkColumns)
	left := " " + clean(seen.Sender.Text)
	if seen.Sender.Trouble {
		left = set(strong, " ! "+clean(seen.Sender.Text))
	} else {
		left = set(quiet, left)
	}
	return ends(left, right, width)
}

// hints are the actions whose keys stand below the picture, the most needed first; work light
// and dark have their own place.
var hints = []Action{
	GoOn, Next, Back, InHand, Brighter, Warmer, Greener, Undo, Keep, Cues, Looks, Words, Help,
	Identify, Aim, Alone, Without, Series, Hold, WholeUp, Compare, Redo, Exposure, Quicker, Messages, Note, Confirm, Quit,
}

// together is the action whose key stands beside another's.
var together = map[Action]Action{
	Brighter: Darker, Warmer: Cooler, Greener: Pinker, WholeUp: WholeDn, Quicker: Slower,
}

// arrows stand together without a space.
const arrows = "↑↓←→"

// words of the hints of two keys.
var pairWords = map[Action]string{
	Warmer: "warmer, cooler", Greener: "greener, pinker", Quicker: "quicker, slower",
}

// hintRows are the keys and what they do, in at most so many rows. Those for which there
// is no room are on the page of all words, whose key is always there.
func hintRows(seen *Seen, ui *state, width, most int) []string {
	if most <= 0 {
		return nil
	}
	all := make([]string, 0, len(hints))
	help := -1
	for _, a := range hints {
		if text := hintOf(a, seen, ui); text != "" {
			if a == Help {
				help = len(all)
			}
			all = append(all, text)
		}
	}
	rows := make([]string, 0, most)
	row, used, helped := " ", 1, help < 0
	place := func(text string) bool {
		n := columns(text)
		if used > 1 && used+n > width-1 {
			if len(rows) == most-1 {
				return false
			}
			rows = append(rows, row)
			row, used = " ", 1
		}
		row += text + parting
		used += n + len(parting)
		return true
	}
	for i, text := range all {
		if !place(text) {
			break
		}
		helped = helped || i == help
	}
	rows = append(rows, row)
	if !helped { // it takes the place of the last
		rows[len(rows)-1] = " " + all[help] + parting + strings.TrimLeft(rows[len(rows)-1], " ")
	}
	for i := range rows {
		rows[i] = fit(strings.TrimRight(rows[i], " "), width)
	}
	return rows
}

// hintOf is a key and what it does now; "" without a key.
func hintOf(a Action, seen *Seen, ui *state) string {
	key := ui.keys.cap1(a)
	if key == "" {
		return ""
	}
	label := deedOf(a).label
	if b, ok := together[a]; ok {
		if second := ui.keys.cap1(b); second != "" {
			if strings.Contains(arrows, key) && strings.Contains(arrows, second) {
				key += second
			} else {
				key += " " + second
			}
		}
		if w := pairWords[a]; w != "" {
			label = w
		}
	}
	s := seen.Snap
	switch {
	case a == GoOn && len(s.Prompts) > 0:
		label = "done: confirm"
	case a == Hold && s.Motion == cue.Held:
		label = "let go on"
	case a == Compare && s.Offered:
		label = "trimmed again"
	case a == Compare:
		label = "kept light"
	case a == Quit:
		key += " " + key
	case a == Without && contains(s.Without, ui.hand):
		label = "put back"
	case a == Identify && on(s.Identify, ui.hand), a == Aim && on(s.Aim, ui.hand), a == Alone && on(s.Alone, ui.hand):
		label += " off"
	case a == Exposure:
		label = either(s.Exposure, "let exposure go", "hold exposure")
	}
	return set(strong, key) + " " + label
}

func on(which, hand int) bool { return which >= 0 && which == hand }

func contains(list []int, i int) bool {
	for _, j := range list {
		if i == j {
			return true
		}
	}
	return false
}
