package files

import (
	"errors"
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

// Plan works edits out without writing anything.
func (f *Folder) Plan(edits []Edit) (*Plan, error) {
	return nil, errors.New("not yet")
}

// Adopt makes the folder go on from the plan without writing it, as a rehearsal
// does: later plans build on it.
func (p *Plan) Adopt() {
	f := p.folder
	f.mu.Lock()
	defer f.mu.Unlock()
	f.good = p.after
}
