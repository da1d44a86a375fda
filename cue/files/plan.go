package files

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"time"

	"limn/cue"
)

// Plan is what edits come to, proved in memory: the new bytes of every file
// they touch, read and resolved again. Nothing is written until Write.
type Plan struct {
	folder  *Folder
	before  *state
	after   *state
	changes []FileChange
	cues    []string
	said    []string
	found   []Problem
	words   string // what the edits say of themselves
}

// FileChange is a file before and after a plan.
type FileChange struct {
	Path          string // in the shoot's folder, with slashes
	Before, After []byte // Before is nil where the plan makes the file
}

// Shoot is the shoot as it will be.
func (p *Plan) Shoot() *cue.Shoot { return p.after.shoot }

// Changes are the files that change; none where everything asked for is there already.
func (p *Plan) Changes() []FileChange { return p.changes }

// Cues names the cues that are new, or whose light, set or timing differs
// afterwards, in the order of the shoot.
func (p *Plan) Cues() []string { return p.cues }

// Said is what is worth knowing about how the edits were written.
func (p *Plan) Said() []string { return p.said }

// Problems are the warnings about the shoot as it will be.
func (p *Plan) Problems() []Problem { return p.found }

// By is who changed a shoot, when, and by what command, for the history. What is
// left out is taken from the system, the clock and the edits.
type By struct {
	Who  string
	At   time.Time
	What string
}

// MaxEdits is the most edits of one plan: every source of every cue.
const MaxEdits = cue.MaxLights

// Plan works edits out without writing anything. What they come to is read and
// resolved again, and must be what was asked and nothing else: otherwise there is
// no plan, and the error says why.
func (f *Folder) Plan(edits []Edit) (*Plan, error) {
	before := f.state()
	if before == nil {
		return nil, errNoShoot
	}
	if len(edits) > MaxEdits {
		return nil, fmt.Errorf("%d edits at once are more than %d", len(edits), MaxEdits)
	}
	w := &planner{name: f.name, was: before, now: before, texts: map[string][]byte{}}
	if err := w.run(edits); err != nil {
		return nil, err
	}
	said := make([]string, len(edits))
	for i, e := range edits {
		said[i] = e.edit()
	}
	return w.plan(f, strings.Join(said, "; ")), nil
}

// plan closes a planner's work.
func (w *planner) plan(f *Folder, words string) *Plan {
	p := &Plan{folder: f, before: w.was, after: w.now, said: w.said, found: w.found, words: words}
	for name, text := range w.texts {
		if before := w.was.seen.files[name]; before == nil || !bytes.Equal(before, text) {
			p.changes = append(p.changes, FileChange{name, before, text})
		}
	}
	slices.SortFunc(p.changes, func(a, b FileChange) int { return strings.Compare(a.Path, b.Path) })
	p.cues = changedCues(w.was.shoot, w.now.shoot)
	return p
}

// changedCues names the cues that are new or differ in what is seen on the set.
func changedCues(was, is *cue.Shoot) []string {
	old := make(map[string]int, len(was.Cues))
	for i := range was.Cues {
		old[was.Cues[i].Name] = i
	}
	var out []string
	for i := range is.Resolved {
		j, known := old[is.Cues[i].Name]
		if !known || !sameSet(&was.Resolved[j], &is.Resolved[i]) {
			out = append(out, is.Cues[i].Name)
		}
	}
	return out
}

// sameSet says whether two resolved cues are the same light, set and timing.
func sameSet(a, b *cue.Resolved) bool {
	if a.HasAngle != b.HasAngle || a.Azimuth != b.Azimuth || len(a.Light) != len(b.Light) ||
		a.Fade != b.Fade || a.Delay != b.Delay || a.Curve != b.Curve || a.Path != b.Path {
		return false
	}
	for i := range a.Light {
		x, y := &a.Light[i], &b.Light[i]
		if x.Asked != y.Asked || !slices.Equal(x.Cells, y.Cells) ||
			x.Fade != y.Fade || x.Delay != y.Delay || x.Curve != y.Curve || x.Path != y.Path {
			return false
		}
	}
	return words(a.Cards) == words(b.Cards) && words(a.Camera) == words(b.Camera) && words(a.Places) == words(b.Places)
}

// Adopt makes the folder go on from the plan without writing it, as a rehearsal
// does: later plans build on it.
func (p *Plan) Adopt() {
	f := p.folder
	f.mu.Lock()
	defer f.mu.Unlock()
	f.good = p.after
}

// Back plans to put every file that p changed back to what it was, however many
// plans of other files came after. Where such a file is not as p left it, that is
// a *ChangedError.
func (p *Plan) Back() (*Plan, error) { return p.BackIn(p.folder) }

// BackIn is Back for another folder that holds the files as p left them: that on disk,
// of what was planned over a copy of it.
func (p *Plan) BackIn(f *Folder) (*Plan, error) {
	now := f.state()
	if now == nil {
		return nil, errNoShoot
	}
	texts := map[string][]byte{}
	var other []string
	for _, c := range p.changes {
		if !bytes.Equal(now.seen.files[c.Path], c.After) {
			other = append(other, c.Path)
		}
		texts[c.Path] = c.Before
	}
	if len(other) > 0 {
		return nil, &ChangedError{other}
	}
	in := now.seen.with(texts)
	shoot, renderer, problems := load(f.name, in)
	if shoot == nil {
		for _, p := range problems {
			if !p.Warning {
				return nil, &RefusedError{p}
			}
		}
	}
	w := &planner{name: f.name, was: now, now: &state{in, shoot, renderer}, texts: texts, found: problems}
	return w.plan(f, "undo "+p.words), nil
}
