package profiles

import (
	"embed"
	"errors"
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"

	"limn/fixtures"
	"limn/profiles/tomlfile"
)

//go:embed generic/*.toml
var generic embed.FS

const (
	genericDir = "generic"
	extension  = ".toml"
)

// Library finds profiles by name: a shoot's own first, then the generic ones
// that come along. It may be shared between goroutines.
type Library struct {
	own map[string]*fixtures.Profile
}

// Open reads every *.toml of a shoot's own folder of profiles and knows the
// generic ones. own is that folder itself (nil, or one that is not there: none),
// dir how messages name it. Faults of own files go to ps; such a profile is
// still found, as far as it could be read, so that nobody is told that a
// profile is missing which only has a fault.
func Open(own fs.FS, dir string, ps *tomlfile.Problems) *Library {
	l := &Library{own: map[string]*fixtures.Profile{}}
	if own == nil {
		return l
	}
	whole := tomlfile.Pos{File: dir}
	entries, err := fs.ReadDir(own, ".")
	if errors.Is(err, fs.ErrNotExist) {
		return l
	}
	if err != nil {
		ps.Error(whole, "", "the profiles cannot be read: %v", err)
		return l
	}
	read := 0
	for _, e := range entries {
		if e.IsDir() || path.Ext(e.Name()) != extension || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		if read++; read > MaxOwn {
			ps.Error(whole, "take out what no source uses", "more than %d profiles", MaxOwn)
			return l
		}
		l.add(own, dir, e.Name(), ps)
	}
	return l
}

// add reads one own file.
func (l *Library) add(own fs.FS, dir, name string, ps *tomlfile.Problems) {
	file := path.Join(dir, name)
	src, err := fs.ReadFile(own, name)
	if err != nil {
		ps.Error(tomlfile.Pos{File: file}, "", "the profile cannot be read: %v", err)
		return
	}
	p, _ := Parse(file, src, ps)
	if p.Name == "" { // said already; the file's own name is the best guess
		p.Name = strings.TrimSuffix(name, extension)
	}
	if first, ok := l.own[p.Name]; ok {
		ps.Error(tomlfile.Pos(p.Origin), "give each profile a name of its own",
			"%q is the name of the profile in %s too", p.Name, first.File)
		return
	}
	l.own[p.Name] = p
}

// Find gives the profile of that name.
func (l *Library) Find(name string) (*fixtures.Profile, bool) {
	if p, ok := l.own[name]; ok {
		return p, true
	}
	return shipped.find(name)
}

// Names lists every profile that Find finds, in alphabetical order.
func (l *Library) Names() []string {
	names := slices.Clone(shipped.names())
	for name := range l.own {
		names = append(names, name)
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// shelf holds the generic profiles, each read when it is first asked for: a
// rig uses a few of them, and every command would pay for all.
type shelf struct {
	once sync.Once
	list []string
	mu   sync.Mutex
	read map[string]*fixtures.Profile
}

var shipped shelf

// names lists the generic profiles: a file is named after its profile.
func (s *shelf) names() []string {
	s.once.Do(func() {
		entries, err := generic.ReadDir(genericDir)
		if err != nil {
			panic("profiles: " + err.Error()) // embedded: cannot be missing
		}
		for _, e := range entries {
			s.list = append(s.list, strings.TrimSuffix(e.Name(), extension))
		}
		slices.Sort(s.list)
	})
	return s.list
}

func (s *shelf) find(name string) (*fixtures.Profile, bool) {
	if _, ok := slices.BinarySearch(s.names(), name); !ok {
		return nil, false
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if p, ok := s.read[name]; ok {
		return p, true
	}
	file := path.Join(genericDir, name+extension)
	src, err := generic.ReadFile(file)
	if err != nil {
		panic("profiles: " + err.Error())
	}
	ps := new(tomlfile.Problems)
	p, ok := Parse(file, src, ps)
	if !ok { // a test reads them all
		panic("profiles: " + ps.Sorted()[0].String())
	}
	if s.read == nil {
		s.read = map[string]*fixtures.Profile{}
	}
	s.read[name] = p
	return p, true
}
