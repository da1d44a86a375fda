package dial

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"limn/cue"
)

// tile is the one thing that comes next, in words.
type tile struct {
	label string // what kind of thing it is
	head  string
	more  []string
}

func (v *view) tileOf() tile {
	s := v.snap
	switch {
	case s.Question != "":
		return questionTile(s)
	case s.Motion == cue.Waiting && len(s.Prompts) > 0:
		t := v.handsTile(s.Prompts)
		t.label = "now, by hand"
		return t
	case s.Cue < 0 && s.CueName == "" && v.next == nil && len(v.shoot.Resolved) > 0:
		return tile{"first", clean(v.shoot.Resolved[0].Name), []string{"nothing is sent before the first cue"}}
	case v.next == nil && len(v.shoot.Resolved) == 0:
		return tile{"next", "no cue yet", []string{"write the first one into cues.toml"}}
	case v.next == nil:
		return tile{"next", "that was the last cue", nil}
	}
	return v.nextTile()
}

func questionTile(s *cue.Snapshot) tile {
	first, rest, _ := strings.Cut(s.Question, "\n")
	t := tile{label: "a question", head: clean(first)}
	if rest != "" {
		t.more = append(t.more, clean(rest))
	}
	for _, c := range s.Choices {
		t.more = append(t.more, clean(c.Command)+": "+clean(c.Text))
	}
	return t
}

// handsTile is what hands have to do now, in its order.
func (v *view) handsTile(prompts []string) tile {
	if v.turning && slices.ContainsFunc(prompts, isTurn) {
		return tile{head: v.turnHead(v.turnTo, v.cue), more: steps(prompts)}
	}
	return tile{head: clean(prompts[0]), more: steps(prompts[1:])}
}

// nextTile is the next cue, and what hands will have to do for it.
func (v *view) nextTile() tile {
	t := tile{label: "next", head: clean(v.next.Name)}
	if v.snap.Cue < 0 && v.snap.CueName == "" {
		t.label = "first"
	}
	if v.next.HasAngle && (!v.stood || math.Abs(cue.Turn(v.azimuth, finite(v.next.Azimuth))) > cue.DeadBand) {
		t.head = v.turnHead(v.next.Azimuth, t.head)
	}
	t.more = steps(v.shoot.Hands(v.now, v.next))
	return t
}

// isTurn says whether a prompt is the one to turn the model.
func isTurn(prompt string) bool { return strings.HasPrefix(prompt, turnWords) }

// turnWords is how the prompts to turn begin.
const turnWords = "turn the model "

// steps are prompts numbered in their order, where there is more than one. A turn
// whose azimuths stand above says which way and where the bow goes.
func steps(prompts []string) []string {
	var out []string
	for i, p := range prompts {
		p = clean(p)
		if isTurn(p) {
			if _, detail, ok := strings.Cut(p, ", "); ok {
				p = turnWords + detail
			}
		}
		if len(prompts) > 1 {
			p = fmt.Sprintf("%d  %s", i+1, p)
		}
		out = append(out, p)
	}
	return out
}

// turnHead is a turn in its shortest words.
func (v *view) turnHead(to float64, name string) string {
	verb := "turn to"
	if !v.shoot.Turntable.Hand && v.shoot.Turntable.Drive != "" {
		verb = "the table goes to"
	}
	head := fmt.Sprintf("%s %s", verb, degreesWords(to))
	if name != "" {
		head += ": " + name
	}
	return head
}
