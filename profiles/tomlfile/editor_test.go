package tomlfile

import (
	"testing"
)

const shootText = `# the pictures
[[angle]]
name    = "bow three-quarter"
azimuth = 35

[look.dusk]
sky     = { change = "-1 stop" }

[[cue]]
name  = "bow"   # first
angle = "bow three-quarter"
[cue.light]
sky            = "80 %"           # the key
"left stroke"  = { level = "key -1 stop", colour = "5600 K" }
[cue.card."keel black"]
place = { azimuth = 90, distance = "0.22 m" }

# the same at dusk
[[cue]]
name  = "bow at dusk"
from  = "bow"
looks = ["dusk"]

[[cue]]
name = 'beam'
light.sky = '-1 stop'
light.horizon.level = '40 %'
`

func TestEditor(t *testing.T) {
	for _, c := range []struct {
		name, src, want string
		edit            func(e *Editor) error
	}{
		{"replace a value", "a = 1\r\nsky = '80 %' # x\r\n", "a = 1\r\nsky = '60 %' # x\r\n", func(e *Editor) error {
			return e.Replace(Path{"sky"}, "60 %")
		}},
		{"a text becomes a table", "[l]\nsky = \"80 %\"   # x\n", "[l]\nsky = { level = \"80 %\", colour = \"5400 K\" }   # x\n", func(e *Editor) error {
			return e.Replace(Path{"l", "sky"}, Inline{{"level", "80 %"}, {"colour", "5400 K"}})
		}},
		{"a key at the end of its table, in its column", "[l]\nsky    = \"80 %\" # x\nfill   = \"3 %\"\n\n[m]\n", "[l]\nsky    = \"80 %\" # x\nfill   = \"3 %\"\ntorch  = \"off\"\n\n[m]\n", func(e *Editor) error {
			return e.Set(Path{"l"}, Entry{"torch", "off"})
		}},
		{"a name in quotation marks", "[l]\nsky='80 %'\r\n", "[l]\nsky='80 %'\r\n'left stroke'='off'\r\n", func(e *Editor) error {
			return e.Set(Path{"l"}, Entry{"left stroke", "off"})
		}},
		{"no newline at the end", "[l]\n  sky = 1", "[l]\n  sky = 1\n  fill = 2", func(e *Editor) error {
			return e.Set(Path{"l"}, Entry{"fill", 2})
		}},
		{"a mark at the beginning", "\xef\xbb\xbfsky = 1\n", "\xef\xbb\xbfsky = 2\nfill = 1.5\n", func(e *Editor) error {
			return e.Set(Path{}, Entry{"sky", 2}, Entry{"fill", 1.5})
		}},
		{"into braces", "l = {a = '1'}\n", "l = {a = '1', b = 'x', c = true}\n", func(e *Editor) error {
			return e.Set(Path{"l"}, Entry{"b", "x"}, Entry{"c", true})
		}},
		{"into empty braces", "l = {}\n", "l = { b = \"x\" }\n", func(e *Editor) error {
			return e.Set(Path{"l"}, Entry{"b", "x"})
		}},
		{"into braces on several lines", "l = {\n  a = 1, # one\n  b = 2, # two\n}\n", "l = {\n  a = 1, # one\n  b = 2, c = 3, # two\n}\n", func(e *Editor) error {
			return e.Set(Path{"l"}, Entry{"c", 3})
		}},
		{"dotted", "[[cue]]\nlight.sky = '1'\nlight.\"a b\".level = '2' # x\nname = 'n'\n", "[[cue]]\nlight.sky = '1'\nlight.\"a b\".level = '2' # x\nlight.\"a b\".colour = 'c'\nname = 'n'\n", func(e *Editor) error {
			return e.Set(Path{"cue", 0, "light", "a b"}, Entry{"colour", "c"})
		}},
		{"dotted, one more", "[[cue]]\nlight.sky = '1'\nname = 'n'\n", "[[cue]]\nlight.sky = '1'\nlight.fill = 'c'\nname = 'n'\n", func(e *Editor) error {
			return e.Set(Path{"cue", 0, "light"}, Entry{"fill", "c"})
		}},
		{"dotted in braces", "l = { a.b = 1 }\n", "l = { a.b = 1, a.c = 2 }\n", func(e *Editor) error {
			return e.Set(Path{"l", "a"}, Entry{"c", 2})
		}},
		{"a table that is not there", "[[cue]]\nname = 'a'\n\n# next\n[[cue]]\nname = 'b'\n", "[[cue]]\nname = 'a'\n[cue.light]\nsky = '1'\n\n# next\n[[cue]]\nname = 'b'\n", func(e *Editor) error {
			return e.Set(Path{"cue", 0, "light"}, Entry{"sky", "1"})
		}},
		{"as the neighbour in braces", "[[cue]]\nname = 'a'\nlight = { sky = '1' }\n[[cue]]\nname = 'b'\n", "[[cue]]\nname = 'a'\nlight = { sky = '1' }\n[[cue]]\nname = 'b'\nlight = { sky = '2' }\n", func(e *Editor) error {
			return e.Set(Path{"cue", 1, "light"}, Entry{"sky", "2"})
		}},
		{"as the neighbour with points", "[[cue]]\nname = 'a'\nlight.sky = '1'\n[[cue]]\nname = 'b'\n", "[[cue]]\nname = 'a'\nlight.sky = '1'\n[[cue]]\nname = 'b'\nlight.sky = '2'\n", func(e *Editor) error {
			return e.Set(Path{"cue", 1, "light"}, Entry{"sky", "2"})
		}},
		{"indented tables", "[[cue]]\n  name = 'a'\n  [cue.light]\n    sky = '1'\n\n[[cue]]\n  name = 'b'\n", "[[cue]]\n  name = 'a'\n  [cue.light]\n    sky = '1'\n\n[[cue]]\n  name = 'b'\n  [cue.light]\n    sky = '2'\n", func(e *Editor) error {
			return e.Set(Path{"cue", 1, "light"}, Entry{"sky", "2"})
		}},
		{"behind the third", shootText, shootText + "\n[[cue]]\nname = 'stern'\nfrom = 'beam'\n", func(e *Editor) error {
			return e.Insert(Path{"cue"}, 2, Entry{"name", "stern"}, Entry{"from", "beam"})
		}},
		{"in a list of braces", "cue = [ { name = 'a' }, { name = 'b' } ]", "cue = [ { name = 'a' }, { name = 'c' }, { name = 'b' } ]", func(e *Editor) error {
			return e.Insert(Path{"cue"}, 0, Entry{"name", "c"})
		}},
		{"the first of its kind", "# a\n", "# a\n\n[[cue]]\nname = \"a\"\n", func(e *Editor) error {
			return e.Insert(Path{"cue"}, -1, Entry{"name", "a"})
		}},
		{"out of a section", "[l]\na = 1\nb = [\n 1, # x\n] # y\nc = 2\n", "[l]\na = 1\nc = 2\n", func(e *Editor) error {
			return e.Remove(Path{"l", "b"})
		}},
		{"out of braces", "l = { a = 1, b = 2, c = 3 }", "l = { a = 1, c = 3 }", func(e *Editor) error {
			return e.Remove(Path{"l", "b"})
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			e, err := NewEditor("a.toml", []byte(c.src))
			if err != nil {
				t.Fatal(err)
			}
			if err := c.edit(e); err != nil {
				t.Fatal(err)
			}
			got, err := e.Bytes()
			if err != nil {
				t.Fatal(err)
			}
			if string(got) != c.want {
				t.Errorf("got:\n%s\nwant:\n%s", got, c.want)
			}
			if _, err := NewEditor("a.toml", got); err != nil {
				t.Error(err)
			}
		})
	}
}
