package files

import (
	"fmt"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"limn/testdata"
)

// manyCues is a file as a long day leaves it: every tenth cue is written in
// full, the others come from the one before.
func manyCues(n int) string {
	var b strings.Builder
	b.WriteString("[look.dusk]\nstrokes = { colour = \"3600 K\" }\n")
	for i := range n {
		fmt.Fprintf(&b, "\n[[cue]]\nname = \"picture %d\"\n", i)
		if i%10 > 0 {
			fmt.Fprintf(&b, "from = \"picture %d\"\nlooks = [\"dusk\"]\n[cue.light]\nsky = \"%d %%\"\n", i-1, 20+i%60)
			continue
		}
		fmt.Fprintf(&b, "angle = %d\nfade = \"2.5 s\"\n[cue.light]\nsky = \"%d %%\"\n", i%360, 20+i%60)
		b.WriteString("\"left stroke\" = { level = \"key -1 stop\", colour = \"5600 K\", delay = \"0.4 s\" }\n\"right stroke\" = \"key -1 2/3 stops\"\ntorch = { level = \"40 lx\", colour = \"3000 K\" }\n")
	}
	return b.String()
}

// Loading a shoot of 10,000 cues, with everything checked and resolved, and
// beside it the bare decoding of the same text.
func BenchmarkLoad10000(b *testing.B) {
	cues := manyCues(10_000)
	files := folder(map[string]string{RigFile: smallRig, CuesFile: cues})
	b.Run("load", func(b *testing.B) {
		b.ReportAllocs()
		b.SetBytes(int64(len(cues)))
		for b.Loop() {
			if s, problems := Load("shoot", files); s == nil {
				b.Fatal(problems[0])
			}
		}
	})
	b.Run("decode", func(b *testing.B) {
		b.ReportAllocs()
		b.SetBytes(int64(len(cues)))
		for b.Loop() {
			var v map[string]any
			if _, err := toml.Decode(cues, &v); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkLoadKittiwake(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if s, problems := Load("kittiwake", testdata.Kittiwake()); s == nil {
			b.Fatal(problems[0])
		}
	}
}
