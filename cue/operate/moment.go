package operate

import (
	"maps"

	"limn/cue"
	"limn/cue/timeline"
)

// moment is all that the commands so far have led to. It is never changed once
// it stands: a command makes the next of it. So frames, snapshots and what is
// worked out ahead read it without a lock.
type moment struct {
	*set
	player *timeline.Player

	// Trims that do not play: those of the present cue while its kept light is
	// shown. All others are in the player's layers; the trims of a cue that is not
	// the present one come here when it is called, unless they were given from
	// elsewhere and have never been seen (ahead).
	aside map[int]trims
	ahead map[int]bool

	exposure bool    // the total is held
	total    float64 // at this, lux; 0 = at what it is when the next trim comes
	picture  int     // number the camera gives the next picture; 0 = not said
	mark     Mark    // what the day's log is told beside the command

	past, future *change // undo and redo
	self         bool    // what hands and cameras must do counts as done
	question     *question
	run          *run // the sequence that runs; nil = none
}

// trims are the changes of one cue, by source.
type trims = map[int]cue.Entry

// next is a moment that may be changed until it is put in place.
func (m *moment) next() *moment {
	n := *m
	n.player = m.player.Clone()
	n.mark = Mark{}
	return &n
}

func (m *moment) layers() timeline.Layers { return m.player.Layers() }

// cueName is a cue's name; "" for none.
func (m *moment) cueName(i int) string {
	if i < 0 || i >= len(m.shoot.Cues) {
		return ""
	}
	return m.shoot.Cues[i].Name
}

// trimsOf are those of a cue, whether they play or not.
func (m *moment) trimsOf(i int) trims {
	l := m.layers()
	if t := l.Trims[i]; len(t) > 0 {
		return t
	}
	return m.aside[i]
}

// playing are the trims that play over the present light.
func (m *moment) playing() trims {
	l := m.layers()
	if l.Here != nil {
		return l.Here.Trims
	}
	return l.Trims[l.Cue]
}

// put lays trims aside for a cue; none takes them away.
func (m *moment) put(i int, t trims) {
	m.aside = with(m.aside, i, t, len(t) > 0)
}

// with is a map with one entry set or deleted; the map itself stays as it is.
func with[V any](m map[int]V, key int, value V, set bool) map[int]V {
	if _, is := m[key]; !is && !set {
		return m
	}
	m = maps.Clone(m)
	if !set {
		delete(m, key)
		return m
	}
	if m == nil {
		m = map[int]V{}
	}
	m[key] = value
	return m
}

// scene is a cue as it would be played now: with the looks that lie, and its trims.
func (m *moment) scene(i int) *cue.Resolved {
	l := m.layers()
	if i == l.Cue && m.player.Scene() != nil {
		return m.player.Scene()
	}
	s, _ := m.compose(i, &cue.Over{Looks: l.Looks, Trims: m.trimsOf(i)})
	return s
}

// kept is the present light without its trims; nil before the first cue.
func (m *moment) kept() *cue.Resolved {
	l := m.layers()
	scene := m.player.Scene()
	if l.Cue < 0 || len(m.playing()) == 0 {
		return scene
	}
	s, _ := m.compose(l.Cue, &cue.Over{Looks: l.Looks})
	return s
}

// texts are the words of notices; refused says that nothing was changed.
func texts(notices []timeline.Notice) (out []string, refused bool) {
	for _, n := range notices {
		out = append(out, n.Text)
		refused = refused || n.Refused
	}
	return out, refused
}
