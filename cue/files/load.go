package files

import (
	"io/fs"
	"path"
	"slices"

	"limn/cue"
	"limn/fixtures"
	"limn/profiles"
	"limn/profiles/tomlfile"
)

// The names of a shoot's files.
const (
	RigFile    = "rig.toml"
	CuesFile   = "cues.toml"
	CuesDir    = "cues"
	ProfileDir = "profiles"
)

// MaxCueFiles is the most files the folder of cues may hold.
const MaxCueFiles = 1000

// Load reads and checks a whole shoot. dir names it in messages; fsys is its
// content (os.DirFS(dir), or embedded). The shoot is nil if it has errors;
// problems are sorted by file and place and include warnings.
func Load(dir string, fsys fs.FS) (*cue.Shoot, []tomlfile.Problem) {
	shoot, _, problems := load(dir, look(fsys))
	return shoot, problems
}

// load is Load with the renderer that the cues were resolved with.
func load(dir string, in *seen) (*cue.Shoot, *fixtures.Renderer, []tomlfile.Problem) {
	l := &loader{
		dir: dir, seen: in,
		shoot:  &cue.Shoot{Dir: dir, Rig: &fixtures.Rig{}},
		things: map[string]thing{},
		cards:  map[string]int{},
	}
	rig, ok := l.parse(RigFile, "write it, or name the folder of a shoot")
	if !ok {
		return nil, nil, l.ps.Sorted() // no rig at all: its cues would only be misunderstood
	}
	cues := l.cueFiles()
	l.readRig(rig)
	r := l.renderer()
	l.words.camera = l.shoot.Camera.White
	for _, name := range cues {
		if t, ok := l.parse(name, "write it, or take it out of the folder"); ok {
			l.readCues(t)
		}
	}
	l.closing(cues)
	l.shoot.Partial = l.damaged
	found := l.shoot.Resolve(r)
	if r == nil { // figures of light that a faulty rig gives would only mislead
		found = slices.DeleteFunc(found, func(f fixtures.Fault) bool { return f.Warning })
	}
	l.report(found)
	l.checkSequences()
	if l.ps.Failed() {
		return nil, nil, l.ps.Sorted()
	}
	l.approvals(r)
	return l.shoot, r, l.ps.Sorted()
}

// loader is one run of Load.
type loader struct {
	dir     string
	seen    *seen
	ps      tomlfile.Problems
	shoot   *cue.Shoot
	damaged bool // part of a file could not be read

	things map[string]thing // sources and groups by name
	names  []string         // of things, in file order
	cards  map[string]int
	words  memo

	calibrations map[string]*fixtures.Calibration // by file; nil = faulty

	bounces []pendingBounce

	universes map[int]bool // those an output carries
	full      map[string]bool
}

// thing is what a name in a table of light stands for: a source or a group.
type thing struct {
	group bool
	index int
}

// shown is how messages name a file of the shoot.
func (l *loader) shown(name string) string { return path.Join(l.dir, name) }

// report takes over what other rooms found.
func (l *loader) report(faults []fixtures.Fault) {
	for _, f := range faults {
		if f.Warning {
			l.ps.Warn(tomlfile.Pos(f.Origin), f.Cure, "%s", f.What)
		} else {
			l.ps.Error(tomlfile.Pos(f.Origin), f.Cure, "%s", f.What)
		}
	}
}

// renderer compiles the rig, so that cues are held against what its lights can
// do; nil if the rig has faults, which are known by then.
func (l *loader) renderer() *fixtures.Renderer {
	if l.ps.Failed() {
		return nil
	}
	r, err := fixtures.NewRenderer(l.shoot.Rig)
	if err != nil {
		l.ps.Error(tomlfile.Pos{File: l.shown(RigFile)}, "", "%v", err)
		return nil
	}
	return r
}

// openProfiles finds the profiles, the shoot's own first.
func (l *loader) openProfiles() *profiles.Library {
	own, err := fs.Sub(l.seen, ProfileDir)
	if err != nil {
		panic(err) // the name is a constant and valid
	}
	return profiles.Open(own, l.shown(ProfileDir), &l.ps)
}
