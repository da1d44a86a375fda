package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"limn/cmd/internal/screen"
	"limn/profiles/tomlfile"
)

// The keys of the screen are written down in keys.toml in the user's own folder of settings, and not in
// a shoot: they belong to whoever sits there and to the pedal under the table, while a shoot
// travels.
//
//	[keys]                 # an action, and the key or keys that do it
//	next    = ["pgdown", "space"]
//	back    = "pgup"
//	"go on" = "f5"         # the middle button of a clicker
//
//	[say]                  # a key, and what it says; {light} is the light in hand
//	f2 = "look dusk on"
//	f3 = "trim {light} up 1 stop"
const keysFile = "keys.toml"

// keysPath is where the keys are written down; "" where this system has no such place.
func keysPath() string {
	dir, err := os.UserConfigDir()
	if err != nil {
		return ""
	}
	return filepath.Join(dir, "limn", keysFile)
}

// readKeys reads the keys of the screen, those by default where nobody wrote any. The error
// tells every slip.
func readKeys() (*screen.Keys, error) {
	path := keysPath()
	if path == "" {
		return screen.DefaultKeys(), nil
	}
	src, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return screen.DefaultKeys(), nil
	}
	if err != nil {
		return nil, failuref(statusFiles, "--lines runs without them", "the keys cannot be read: %v", err)
	}
	keys, problems := parseKeys(path, src)
	if len(problems) == 0 {
		return keys, nil
	}
	texts := make([]string, len(problems))
	for i, p := range problems {
		texts[i] = p.String()
	}
	return nil, failuref(statusFiles, "mend it, or --lines runs without it", "%s", strings.Join(texts, "\nerror: "))
}

// parseKeys reads the text of a keys file.
func parseKeys(name string, src []byte) (*screen.Keys, []tomlfile.Problem) {
	var ps tomlfile.Problems
	root := tomlfile.Parse(name, src, &ps)
	r := &keyReader{ps: &ps, keys: screen.DefaultKeys(), given: map[string]string{}}
	acts := root.Table("keys")
	for _, action := range acts.Keys() {
		v, _ := acts.Value(action)
		r.bind(acts.KeyPos(action), action, v)
	}
	says := root.Table("say")
	for _, key := range says.Keys() {
		if words, ok := says.String(key); ok && r.give(says.KeyPos(key), key, words) {
			r.fault(says.KeyPos(key), r.keys.Say(key, words))
		}
	}
	root.Close()
	return r.keys, ps.Sorted()
}

// keyReader reads keys and tells what is wrong with them.
type keyReader struct {
	ps    *tomlfile.Problems
	keys  *screen.Keys
	given map[string]string // what each key was given to do
}

// bind reads the key or keys of an action.
func (r *keyReader) bind(at tomlfile.Pos, action string, v tomlfile.Value) {
	entries, ok := v.List()
	if !ok {
		entries = []tomlfile.Value{v}
	}
	var keys []string
	for _, e := range entries {
		key, ok := e.Text()
		if !ok {
			r.ps.Error(e.Pos(), `write "pgdown", or a list of keys`, "%s is %s and no key", tomlfile.Quote(action), e.Kind())
			return
		}
		if r.give(e.Pos(), key, action) {
			keys = append(keys, key)
		}
	}
	r.fault(at, r.keys.Bind(action, keys...))
}

// give notes what a key does; false where it was given something else already.
func (r *keyReader) give(at tomlfile.Pos, key, to string) bool {
	name := screen.KeyName(key)
	if before, ok := r.given[name]; ok && before != to {
		r.ps.Error(at, "give it one thing to do", "the key %s does %s already", tomlfile.Quote(key), tomlfile.Quote(before))
		return false
	}
	r.given[name] = to
	return true
}

func (r *keyReader) fault(at tomlfile.Pos, err error) {
	if err != nil {
		what, cure, _ := strings.Cut(err.Error(), "; ")
		r.ps.Error(at, cure, "%s", what)
	}
}
