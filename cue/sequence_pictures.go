package cue

import (
	"fmt"
	"slices"

	"limn/fixtures/quantity"
)

// pictures tells out a sequence by frame.
func (s *Shoot) pictures(q *Sequence, cues []int) ([]Shot, error) {
	p, err := s.planPictures(q, cues)
	if err != nil {
		return nil, err
	}
	for i := range q.Steps {
		p.angles = append(p.angles, s.shot(i, cues[i]))
	}
	p.walk(q.Pictures.order(), station{})
	nameShots(s, q, p.shots)
	return p.shots, nil
}

// planPictures sizes a sequence by frame; it fails if its
// parts multiply to more than MaxShots, as if every cue had as many frames and passes as the richest: that bounds the work too.
func (s *Shoot) planPictures(q *Sequence, cues []int) (*pictures, error) {
	p := &pictures{shoot: s, q: q, exposures: max(q.Pictures.Exposures, 1)}
	p.passes = s.passSources(q, cues)
	p.sizes = map[string]int{
		OrderAngle: len(cues),
		OrderFrame: 1,
		OrderFocus: max(len(q.Pictures.Focus), 1),
		OrderPass:  len(p.passes) + 1,
	}
	for i := range q.Steps {
		p.sizes[OrderFrame] = max(p.sizes[OrderFrame], q.frames(i))
	}
	room := MaxShots
	for _, n := range p.sizes {
		room /= n
	}
	if room /= p.exposures; room == 0 {
		return nil, fmt.Errorf("in sequence %q, angles x frames x focus x passes x exposures come to more than %d pictures; make several sequences of it", q.Name, MaxShots)
	}
	return p, nil
}

// frames is how many frames a step has.
func (q *Sequence) frames(step int) int {
	if n := q.Steps[step].Frames; n > 0 {
		return n
	}
	return max(q.Pictures.Frames, 1)
}

// order is the whole order, what was left out at its end.
func (p *Pictures) order() []string {
	order := slices.Clone(p.Order)
	for _, word := range DefaultOrder() {
		if !slices.Contains(order, word) {
			order = append(order, word)
		}
	}
	return order
}

// HasPasses says whether each picture is taken in several lights.
func (p *Pictures) HasPasses() bool { return p.EachPass || len(p.Passes) > 0 }

// passSources lists the sources that are lit alone in turn, over all cues.
func (s *Shoot) passSources(q *Sequence, cues []int) []int {
	if !q.Pictures.EachPass {
		return q.Pictures.Passes
	}
	var out []int
	for i := range s.Rig.Sources {
		if s.Rig.Sources[i].Hand { // nobody could tell it to go off and on
			continue
		}
		if slices.ContainsFunc(cues, func(c int) bool { return s.lit(c, i) }) {
			out = append(out, i)
		}
	}
	return out
}

// lit says whether a source gives light in a cue.
func (s *Shoot) lit(cue, source int) bool {
	light := s.Resolved[cue].Light
	return source >= 0 && source < len(light) && light[source].Asked.Y > 0
}

// pictures is one run of telling a sequence out.
type pictures struct {
	shoot     *Shoot
	q         *Sequence
	passes    []int
	exposures int
	sizes     map[string]int
	angles    []Shot // per step
	shots     []Shot
}

// station is how far along each part a picture is, from 0.
type station struct{ angle, frame, focus, pass int }

func (p *pictures) walk(order []string, at station) {
	if len(order) == 0 {
		p.take(at)
		return
	}
	for i := range p.sizes[order[0]] {
		switch order[0] {
		case OrderAngle:
			at.angle = i
		case OrderFrame:
			at.frame = i
		case OrderFocus:
			at.focus = i
		case OrderPass:
			at.pass = i
		}
		p.walk(order[1:], at)
	}
}

// take adds the pictures at one place. Cues with fewer frames than others are
// done earlier, and a source that is off in a cue has no pass there.
func (p *pictures) take(at station) {
	shot := p.angles[at.angle]
	if at.frame >= p.q.frames(at.angle) {
		return
	}
	shot.Frame = at.frame + 1
	shot.Picture = true
	if p.q.Pictures.HasPasses() {
		shot.Pass = at.pass + 1
		if at.pass < len(p.passes) {
			if !p.shoot.lit(shot.Cue, p.passes[at.pass]) {
				return
			}
			shot.Alone = p.passes[at.pass]
			shot.Light = p.shoot.Rig.Sources[shot.Alone].Name
		}
	}
	if focus := p.q.Pictures.Focus; len(focus) > 0 {
		shot.Focus, shot.FocusNo = focus[at.focus], at.focus+1
	}
	for n := range p.exposures {
		shot.Exposure = n + 1
		p.shots = append(p.shots, shot)
	}
}

// FocusSteps spaces a focus stack: n distances from the first to the last, even
// in their reciprocals. Those are even steps in dioptres, as 1/v = 1/f - 1/u (thin lens), and to a few
// percent even behind the lens, where a slice in focus is equally deep wherever it lies. They are
// written in the unit and style of from, and rounded to what is written.
func FocusSteps(from, to quantity.Length, n int) []quantity.Length {
	if n <= 1 || !(from.Metres > 0) || !(to.Metres > 0) {
		return []quantity.Length{from}
	}
	out := make([]quantity.Length, n)
	for i := range out {
		u := float64(i) / float64(n-1)
		out[i] = from.With(1 / (float64((1-u)/from.Metres) + float64(u/to.Metres)))
	}
	out[0], out[n-1] = from, to
	return out
}
