package files

import (
	"io/fs"
	"os"
	"path"
	"strings"
	"testing"
	"unicode/utf8"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/profiles/tomlfile"
)

// sound loads a shoot of these texts and checks what must hold whatever they
// say: no panic, every place lies in its file, and a shoot is given out exactly
// when nothing is wrong with it, complete enough to play.
func sound(t *testing.T, files map[string]string) {
	shoot, problems := Load("shoot", folder(files))
	failed := false
	for _, p := range problems {
		failed = failed || !p.Warning
		if p.What == "" || strings.ContainsAny(p.String(), "\n\r\x1b") {
			t.Fatalf("a message that cannot be shown: %q", p)
		}
		inFile(t, files, p.Pos)
	}
	if (shoot == nil) != failed {
		t.Fatalf("errors: %t, shoot: %t\n%v", failed, shoot != nil, problems)
	}
	if shoot != nil {
		playable(t, shoot)
	}
}

func inFile(t *testing.T, files map[string]string, at tomlfile.Pos) {
	name := strings.TrimPrefix(at.File, "shoot/")
	if at.Line == 0 {
		return
	}
	text, ok := files[name]
	if !ok {
		t.Fatalf("%v is in no file", at)
	}
	all := strings.Split(text, "\n")
	if at.Line < 1 || at.Line > len(all) || at.Col < 1 || at.Col > utf8.RuneCountInString(all[at.Line-1])+1 {
		t.Fatalf("%v lies outside the file", at)
	}
}

func playable(t *testing.T, s *cue.Shoot) {
	r, err := fixtures.NewRenderer(s.Rig)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Resolved) != len(s.Cues) {
		t.Fatalf("%d cues, %d resolved", len(s.Cues), len(s.Resolved))
	}
	for i := range s.Resolved {
		c := &s.Resolved[i]
		if len(c.Light) != len(s.Rig.Sources) || c.Name == "" {
			t.Fatalf("cue %d: %+v", i, c)
		}
		for j, l := range c.Light {
			if _, err := cue.ParseLevel(l.Level); err != nil {
				t.Fatalf("cue %d, source %d: level %q: %v", i, j, l.Level, err)
			}
			cells := l.Cells
			if cells == nil {
				cells = []colour.XYZ{l.Asked}
			} else if len(cells) != r.Layout(j).Cells || l.Asked != fixtures.Mean(cells) {
				t.Fatalf("cue %d, source %d: %v is not the mean of its %d cells", i, j, l.Asked, r.Layout(j).Cells)
			}
			for _, c := range cells {
				if xy, ok := c.XY(); ok && c.Y > r.Reach(j, xy).MaxY*(1+1e-9) {
					t.Fatalf("cue %d, source %d: asked Y %v of %v", i, j, c.Y, r.Reach(j, xy).MaxY)
				}
			}
			if !(l.Fade >= 0 && l.Delay >= 0) {
				t.Fatalf("cue %d, source %d: fade %v, delay %v", i, j, l.Fade, l.Delay)
			}
		}
		if i > 0 {
			s.Hands(&s.Resolved[i-1], c)
		}
		s.Hands(nil, c)
	}
}

// texts gives a file of every broken shoot: small ones, as a fuzzer spends its
// time on making large ones smaller.
func texts(tb testing.TB, name string) []string {
	var out []string
	broken := os.DirFS("testdata/broken")
	shoots, err := fs.ReadDir(broken, ".")
	if err != nil {
		tb.Fatal(err)
	}
	for _, e := range shoots {
		if src, err := fs.ReadFile(broken, path.Join(e.Name(), name)); err == nil {
			out = append(out, string(src))
		}
	}
	return out
}

func FuzzRigFile(f *testing.F) {
	for _, text := range texts(f, RigFile) {
		f.Add(text)
	}
	const cues = "[[cue]]\nname = \"bow\"\n[cue.light]\nsky = \"60 %\"\nstroke = \"key -1 stop\"\n"
	f.Fuzz(func(t *testing.T, rig string) {
		sound(t, map[string]string{RigFile: rig, CuesFile: cues})
	})
}

func FuzzCuesFile(f *testing.F) {
	for _, text := range texts(f, CuesFile) {
		f.Add(text)
	}
	f.Add("[[cue]]\nname = 'a'\nlight = { sky = '9 %', horizon = { ramp = [{ at = 0, level = 'key', colour = '4000 K' }, { at = 1, level = '9 lx', colour = '#f80', curve = 'stops', path = 'glow' }] } }")
	f.Add("cue = [{ name = 'a', light = { sky = '80 %' } }]\nlook.a.sky = '1 %'")
	f.Fuzz(func(t *testing.T, cues string) {
		sound(t, map[string]string{RigFile: stripRig, CuesFile: cues})
	})
}

// Both files at once, and a profile of the shoot's own.
func FuzzLoad(f *testing.F) {
	rigs, cues := texts(f, RigFile), texts(f, CuesFile)
	profile, err := os.ReadFile("testdata/broken/own-profile/profiles/glow.toml")
	if err != nil {
		f.Fatal(err)
	}
	for i := range min(len(rigs), len(cues)) {
		f.Add(rigs[i], cues[i], string(profile))
	}
	f.Fuzz(func(t *testing.T, rig, cues, profile string) {
		sound(t, map[string]string{RigFile: rig, "cues/a.toml": cues, "profiles/glow.toml": profile})
	})
}
