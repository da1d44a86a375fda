package plan

import (
	"fmt"
	"math"

	"limn/cue"
	"limn/fixtures"
)

// Balanced is a cue's exposure against that of the one it is held against.
type Balanced struct {
	Cue  int
	Name string
	Off  Figure // stops over (+) or under (-) it, each by its own camera settings
	Even bool
	Trim *Trim // what makes it even; nil = nothing needed, or nothing can
	Say  string
}

// Trim is a change of one source, and of those whose levels count from it.
type Trim struct {
	Source  int
	Name    string
	Stops   float64 // solved
	Follows []int   // sources that move with the key
}

var lawBalance = law{"over this cue's settings, less over the first one's", "light adds", "each with its own camera settings"}

// balance holds the cues against one of them.
func (e *Expose) balance(k *reckoner, like string) {
	if len(e.Cues) < 2 && like == "" || len(e.Cues) == 0 {
		return
	}
	var first CueExposure
	if like == "" {
		first = e.Cues[0]
	} else {
		i := k.shoot.CueIndex(like)
		first = k.expose(i, &k.shoot.Resolved[i], &Options{})
	}
	e.Like = first.Name
	for i := range e.Cues {
		c := &e.Cues[i]
		b := Balanced{Cue: c.Cue, Name: c.Name, Off: lawBalance.absent("off", "against "+first.Name, "stops", missingOf([]term{with("", c.over), with("", first.over)}))}
		if c.over.ok() && first.over.ok() {
			b.Off = lawBalance.figure("off", "against "+first.Name, "stops", c.over.value-first.over.value,
				Input{"over", "stops", "this cue over its settings", c.over.value}, Input{"first", "stops", first.Name + " over its own", first.over.value}).as(SignedStops)
		}
		b.solve(c, first.Name)
		e.Balance = append(e.Balance, b)
	}
}

// solve finds the source to trim.
func (b *Balanced) solve(c *CueExposure, first string) {
	switch {
	case !b.Off.Known():
		b.Say = "not known: needs " + b.Off.Missing
		return
	case math.Abs(b.Off.Value) <= Alike:
		b.Even, b.Say = true, "as "+first
		return
	}
	if b.Trim = c.Light.trim(-b.Off.Value); b.Trim == nil {
		b.Say = fmt.Sprintf("no one source makes it even: %s", c.lens.instead(b.Off.Value))
		return
	}
	way := "up"
	if b.Trim.Stops < 0 {
		way = "down"
	}
	b.Say = fmt.Sprintf("trim %s %s %s", b.Trim.Name, way, Stops(math.Abs(b.Trim.Stops)))
	if len(b.Trim.Follows) > 0 {
		names := make([]string, len(b.Trim.Follows))
		for i, j := range b.Trim.Follows {
			names[i] = c.Light.Sources[j].Name
		}
		b.Say += fmt.Sprintf(" (%s count from it)", cue.ShortList(names))
	}
}

// trim finds what changes the light on the camera's side by so many stops: the key,
// with all that counts from it, as long as it has that much left; else the source
// that needs the least change. nil where none can.
func (l *Light) trim(stops float64) *Trim {
	if !l.Camera.Known() || len(l.Unknown) > 0 {
		return nil
	}
	goal := l.Camera.Value * (math.Exp2(stops) - 1) // lx to add
	var best *Trim
	for i := range l.Sources {
		src := &l.Sources[i]
		if !src.emits() || !(src.each > 0) {
			continue
		}
		t := Trim{Source: i, Name: src.Name}
		moved, left := src.each, src.Left.Value
		if src.Role == fixtures.Key {
			for j := range l.Sources {
				if f := &l.Sources[j]; j != i && f.emits() && f.follows {
					t.Follows = append(t.Follows, j)
					moved += f.each
					left = math.Min(left, f.Left.Value)
				}
			}
		}
		ratio := 1 + goal/moved
		if !(ratio > 0) {
			continue
		}
		t.Stops = math.Log2(ratio)
		if t.Stops > min(left+1e-9, mostTrim) || t.Stops < -mostTrim {
			continue
		}
		if src.Role == fixtures.Key {
			return &t
		}
		if best == nil || math.Abs(t.Stops) < math.Abs(best.Stops) {
			best = &t
		}
	}
	return best
}

// mostTrim is the most a source is changed to make up for others, stops: beyond
// that the picture is another one.
const mostTrim = 3.0
