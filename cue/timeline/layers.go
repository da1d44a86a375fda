package timeline

import (
	"maps"
	"slices"

	"limn/cue"
	"limn/fixtures"
)

// Layers is all that is asked of the light: the present cue and what is laid
// over it live, one layer over the other in the order of the fields. It is one
// value: a command makes another of it ([Layers.With] and its like help) and
// gives that to [Player.Set]. Slices and maps in it are never written to once it
// was given, so that an earlier value can come back at any time.
type Layers struct {
	Cue  int   // index; -1 before the first
	Gone *Gone // the cue that was present when a reload took it away: then Cue is -1

	Here  *Here                     // the present cue's light at an angle that no cue has; nil: at its own
	Looks []int                     // laid on by hand, in order; they stay while cues are stepped through
	Trims map[int]map[int]cue.Entry // by cue, by source: they stay with their cue
	Sent  map[int]*Sent             // by cue: played as it was sent before, not as it would be now

	Alone    int     // this source by itself, at its level in the cue; -1 none
	Without  []int   // sources taken out
	Aim      int     // this source by itself, at a level to aim it by; -1 none
	Whole    float64 // stops on the whole set
	Identify int     // this source swells, the rest dip; -1 none
	Dark     bool
	Work     bool // work light, outside of all other layers
}

// Here is "start here from its light": the light of the present cue at an azimuth of
// the table that no cue has.
type Here struct {
	Azimuth float64           // degrees, as it was said
	Trims   map[int]cue.Entry // by source: those of this angle, in the place of the cue's
}

// Gone is a cue that the files no longer have. Its light stays until another is called.
type Gone struct {
	Scene      *cue.Resolved
	Back, Next int // the cues before and after it, by their index; -1 none
}

// Sent is what a cue was sent as once, by universe: the slots of one frame.
type Sent struct {
	Slots map[int][fixtures.UniverseSize]byte
}

// Bare is nothing asked and nothing laid over it.
func Bare() Layers { return Layers{Cue: noCue, Alone: noSource, Aim: noSource, Identify: noSource} }

// noSource is a layer that is about no source.
const noSource = -1

// Over is what is laid over the present cue for it to be composed.
func (l *Layers) Over() *cue.Over {
	if l.Cue == noCue {
		return nil
	}
	over := &cue.Over{Looks: l.Looks, Trims: l.Trims[l.Cue]}
	if l.Here != nil {
		over.Trims = l.Here.Trims
	}
	return over
}

// WithTrims is l with other trims of the present cue, or of the angle started
// from its light; none takes them off.
func (l Layers) WithTrims(trims map[int]cue.Entry) Layers {
	if l.Here != nil {
		l.Here = &Here{Azimuth: l.Here.Azimuth, Trims: trims}
		return l
	}
	return l.WithTrimsOf(l.Cue, trims)
}

// WithTrimsOf is l with other trims of one cue; none takes them off.
func (l Layers) WithTrimsOf(cueIndex int, trims map[int]cue.Entry) Layers {
	l.Trims = maps.Clone(l.Trims)
	switch {
	case len(trims) == 0:
		delete(l.Trims, cueIndex)
	case l.Trims == nil:
		l.Trims = map[int]map[int]cue.Entry{cueIndex: trims}
	default:
		l.Trims[cueIndex] = trims
	}
	return l
}

// WithLook is l with a look laid on, over those already there, or taken off.
func (l Layers) WithLook(look int, on bool) Layers {
	l.Looks = slices.DeleteFunc(slices.Clone(l.Looks), func(i int) bool { return i == look })
	if on {
		l.Looks = append(l.Looks, look)
	}
	return l
}

// WithSource is l with a source taken out (in false), or put back.
func (l Layers) WithSource(source int, in bool) Layers {
	l.Without = slices.DeleteFunc(slices.Clone(l.Without), func(i int) bool { return i == source })
	if !in {
		l.Without = append(l.Without, source)
		slices.Sort(l.Without)
	}
	return l
}

// Called is l with another cue called: in its own light, not dark, not work
// light, and with nothing left of what looks at one source. Looks, what is taken
// out and the level of the whole set stay.
func (l Layers) Called(cueIndex int) Layers {
	l.Cue, l.Gone, l.Here = cueIndex, nil, nil
	l.Dark, l.Work = false, false
	l.Alone, l.Aim, l.Identify = noSource, noSource, noSource
	return l
}
