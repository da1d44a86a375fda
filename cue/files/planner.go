package files

import (
	"fmt"
	"maps"
	"path"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/nearest"
	"limn/profiles/tomlfile"
)

// planner works out the edits of one plan, round by round: in a round no two
// edits touch the same place, so that each sees the files as they are written.
// After it the files are read again and held against what was asked.
type planner struct {
	name     string // of the shoot, in messages
	was, now *state
	texts    map[string][]byte // of the files edited so far
	said     []string
	found    []Problem

	// Of the round.
	editors map[string]*tomlfile.Editor
	touched map[string]bool // places that no other edit of the round may touch
	may     map[string]bool // what may differ afterwards: see digest.differs
	proofs  []func(*cue.Shoot) error
}

// run makes all edits.
func (w *planner) run(edits []Edit) error {
	for len(edits) > 0 {
		later, err := w.round(edits)
		if err != nil {
			return err
		}
		edits = later
	}
	return nil
}

// round makes what edits can be made together, and gives back the others.
func (w *planner) round(edits []Edit) (later []Edit, err error) {
	w.editors, w.touched, w.may, w.proofs = map[string]*tomlfile.Editor{}, map[string]bool{}, map[string]bool{}, nil
	if c, ok := edits[0].(CopyLight); ok {
		copies, err := w.copies(c)
		if err != nil {
			return nil, err
		}
		if edits = append(copies, edits[1:]...); len(edits) == 0 {
			return nil, nil
		}
	}
	for i, e := range edits {
		var targets []target
		switch e := e.(type) {
		case SetLight:
			targets, err = w.all(e)
		case copyOne:
			targets, err = w.copyTarget(e)
		case SetRamp:
			targets, err = w.rampTarget(e)
		default: // it has its round for itself
			if i == 0 {
				if _, ok := e.(CopyLight); ok {
					return edits, nil
				}
				if err := w.alone(e); err != nil {
					return nil, err
				}
				i++
			}
			return append(later, edits[i:]...), w.close()
		}
		if err != nil {
			return nil, err
		}
		if !w.free(targets) {
			later = append(later, e)
			continue
		}
		for _, t := range targets {
			switch e := e.(type) {
			case copyOne:
				err = w.copyEntry(&t, e)
			case SetRamp:
				err = w.setRamp(&t, e)
			default:
				err = w.setLight(t)
			}
			if err != nil {
				return nil, err
			}
		}
	}
	return later, w.close()
}

// free says whether entries may be edited in this round, and claims them. Those
// that have to wait are claimed all the same, so that the order is kept.
func (w *planner) free(targets []target) bool {
	ok := true
	for _, t := range targets {
		for _, claim := range t.claims() {
			ok = ok && !w.touched[claim]
			w.touched[claim] = true
		}
	}
	return ok
}

// editor is the editor of a file of the shoot.
func (w *planner) editor(file string) (*tomlfile.Editor, error) {
	if e, ok := w.editors[file]; ok {
		return e, nil
	}
	e, err := tomlfile.NewEditor(file, w.now.seen.files[file])
	if err != nil {
		return nil, err
	}
	w.editors[file] = e
	return e, nil
}

// close ends a round: the files are put together, read again and held against
// what was asked.
func (w *planner) close() error {
	texts := map[string][]byte{}
	for file, e := range w.editors {
		text, err := e.Bytes()
		if err != nil {
			return unedited(err)
		}
		texts[file] = text
	}
	in := w.now.seen.with(texts)
	shoot, renderer, problems := load(w.name, in)
	if shoot == nil {
		for _, p := range problems {
			if !p.Warning {
				return &RefusedError{p}
			}
		}
	}
	if what := digestOf(w.now.shoot).differs(digestOf(shoot), w.may); what != "" {
		return unedited(fmt.Errorf("%s would change too", what))
	}
	for _, proof := range w.proofs {
		if err := proof(shoot); err != nil {
			return unedited(err)
		}
	}
	maps.Copy(w.texts, texts)
	w.now, w.found = &state{in, shoot, renderer}, problems
	return nil
}

// RefusedError says that the shoot would have an error after the edits.
type RefusedError struct{ Problem Problem }

func (e *RefusedError) Error() string {
	return "it would leave the shoot with an error, so nothing is changed: " + e.Problem.String()
}

// unedited says that the files could not be edited as asked. It is a mistake of
// ours that the proof has found.
func unedited(err error) error {
	return fmt.Errorf("the files cannot be edited so, and nothing is changed: %w; write it by hand", err)
}

// cueIndex finds a cue by name, with help for one that is not there.
func (w *planner) cueIndex(name string) (int, error) {
	if i := w.now.shoot.CueIndex(name); i >= 0 {
		return i, nil
	}
	return -1, unknown("cue", name, w.now.shoot.CueNames())
}

func (w *planner) source(name string) (int, error) {
	if i := w.now.shoot.Rig.Index(name); i >= 0 {
		return i, nil
	}
	names := make([]string, len(w.now.shoot.Rig.Sources))
	for i := range names {
		names[i] = w.now.shoot.Rig.Sources[i].Name
	}
	return -1, unknown("source", name, names)
}

func unknown(kind, name string, names []string) error {
	return fmt.Errorf("no %s is called %s; %s", kind, tomlfile.Quote(name), nearest.DidYouMean(name, names))
}

// file is the name in the folder of the file that holds a place.
func (w *planner) file(at fixtures.Origin) string {
	for name := range w.now.seen.files {
		if path.Join(w.name, name) == at.File {
			return name
		}
	}
	return at.File
}

// cuePath is the file of cue i, and the way to it there.
func (w *planner) cuePath(i int) (file string, at tomlfile.Path) {
	cues := w.now.shoot.Cues
	n := 0
	for j := range i {
		if cues[j].File == cues[i].File {
			n++
		}
	}
	return w.file(cues[i].Origin), tomlfile.Path{"cue", n}
}
