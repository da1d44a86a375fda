package tomlfile_test

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/BurntSushi/toml"

	"limn/profiles/tomlfile"
)

// cueFile is the kind of file that must load fast: tables of eight keys each.
func cueFile(tables int) []byte {
	var b bytes.Buffer
	for i := range tables {
		fmt.Fprintf(&b, `[[cue]]
name  = "angle %d"
angle = %d
fade  = "2.5 s"
delay = "0.4 s"
curve = "ease"
note  = "lantern a touch lower, card to mark C"
looks = ["dusk", "mist"]
light = { sky = "80 %%", horizon = { level = "key -1 1/3 stops", colour = "5600 K" } }

`, i, i%360)
	}
	return b.Bytes()
}

const benchTables = 10_000

// The figure to watch is the ratio of these two: reading with every place and
// every key checked ought to cost at most half again as much as decoding alone.

func BenchmarkReadAll(b *testing.B) {
	src := cueFile(benchTables)
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	for b.Loop() {
		var ps tomlfile.Problems
		root := tomlfile.Parse("cues.toml", src, &ps)
		for _, c := range root.Tables("cue") {
			c.Require("name", `name = "bow"`)
			c.String("name")
			c.Float("angle")
			tomlfile.Read(c, "fade", text)
			tomlfile.Read(c, "delay", text)
			c.OneOf("curve", "linear", "ease", "stops")
			c.String("note")
			looks, _ := c.Value("looks")
			list, _ := looks.List()
			for _, l := range list {
				l.Text()
			}
			light := c.Table("light")
			for _, name := range light.Keys() {
				v, _ := light.Value(name)
				if e, ok := v.Table(); ok {
					e.String("level")
					e.String("colour")
				}
			}
		}
		root.Close()
		if all := ps.Sorted(); len(all) > 0 {
			b.Fatal(all[0])
		}
	}
}

func text(s string) (string, error) { return s, nil }

func BenchmarkDecodeAlone(b *testing.B) {
	src := cueFile(benchTables)
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	for b.Loop() {
		var m map[string]any
		if err := toml.Unmarshal(src, &m); err != nil {
			b.Fatal(err)
		}
	}
}
