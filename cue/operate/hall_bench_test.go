package operate_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/operate"
	"limn/fixtures"
	"limn/profiles"
	"limn/profiles/tomlfile"
)

// hallShoot is a shoot of n sources, the profiles that come along in turn, with two
// cues a long fade apart and a look over half of them.
func hallShoot(b testing.TB, n int) *cue.Shoot {
	library := profiles.Open(nil, "", new(tomlfile.Problems))
	all := map[string]*fixtures.Profile{}
	var names []string
	for _, name := range library.Names() {
		if p, ok := library.Find(name); ok && p.HasLight() {
			all[name], names = p, append(names, name)
		}
	}
	var rig, one, two, look strings.Builder
	universe, next := 1, 1
	for i := range n {
		p := all[names[i%len(names)]]
		if next+p.Footprint() > fixtures.UniverseSize {
			universe, next = universe+1, 1
		}
		role := "accent"
		if i == 0 {
			role = "key"
		}
		fmt.Fprintf(&rig, "[[source]]\nname = \"s%d\"\nrole = %q\nprofile = %q\nuniverse = %d\naddress = %d\nfull = \"1000 lx\"\n\n", i, role, names[i%len(names)], universe, next)
		next += p.Footprint()
		fmt.Fprintf(&one, "s%d = { level = \"%d %%\", colour = \"%d K\" }\n", i, 20+i%50, 2800+5*(i%400))
		fmt.Fprintf(&two, "s%d = { level = \"%d %%\", colour = \"%d K tint +0.002\" }\n", i, 70-i%50, 6400-5*(i%400))
		if i%2 == 1 {
			fmt.Fprintf(&look, "s%d = { change = \"-1 stop\" }\n", i)
		}
	}
	list := make([]string, universe)
	for i := range list {
		list[i] = fmt.Sprint(i + 1)
	}
	head := "[camera]\nwhite = \"5600 K\"\n[turntable]\ndrive = \"hand\"\n[[output]]\nname = \"o\"\nkind = \"artnet\"\nto = \"127.0.0.1\"\nuniverses = [" + strings.Join(list, ", ") + "]\n\n"
	cues := "[look.dim]\n" + look.String() + "\n[[cue]]\nname = \"one\"\nfade = \"1 s\"\n[cue.light]\n" + one.String() + "\n[[cue]]\nname = \"two\"\nfade = \"600 s\"\n[cue.light]\n" + two.String()
	_, s, problems := files.OpenFS("hall", fstest.MapFS{
		"rig.toml":  &fstest.MapFile{Data: []byte(head + rig.String())},
		"cues.toml": &fstest.MapFile{Data: []byte(cues)},
	})
	if s == nil {
		b.Fatal(problems)
	}
	return s
}

// BenchmarkFill512 is state to slots for 512 sources of all kinds, every one in a
// fade, with what is laid over it live. A core at 44 Hz has 22.7 ms for it.
func BenchmarkFill512(b *testing.B) {
	const sources = 512
	s := hallShoot(b, sources)
	for _, live := range []struct {
		name          string
		before, after []string
	}{
		{"plain", nil, nil},
		{"look and trims", []string{"look dim on", "trim everything down 1/3", "trim in two everything down 1/3", "apply"}, nil},
		{"look, trims, without and whole", []string{"look dim on", "trim in two everything down 1/3", "apply", "without s3", "whole down 1/2"}, nil},
		{"alone", []string{"look dim on", "trim in two everything down 1/3", "apply"}, []string{"alone s5"}},
	} {
		b.Run(live.name, func(b *testing.B) {
			e, err := operate.New(s, operate.Options{AutoConfirm: true})
			if err != nil {
				b.Fatal(err)
			}
			out := make([][fixtures.UniverseSize]byte, len(e.Universes()))
			k := int64(0)
			for _, text := range slices.Concat([]string{"go one"}, live.before, []string{"go two"}, live.after) {
				c, err := e.Parse(text)
				if err != nil {
					b.Fatal(err)
				}
				if text == "go two" {
					k += 200
				}
				if r := e.Do(c); r.Refused {
					b.Fatal(text, r.Notices)
				}
				k++
				e.Fill(k, out)
			}
			from := k
			b.ReportAllocs()
			for b.Loop() {
				e.Fill(k, out)
				if k++; k > from+550*44 { // still in the fade
					k = from
				}
			}
			b.ReportMetric(100*b.Elapsed().Seconds()/float64(b.N)*44, "%core@44Hz")
		})
	}
}
