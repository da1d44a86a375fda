package screen

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/cue/operate"
)

func TestComplete(t *testing.T) {
	shoot := kittiwake(t)
	for _, c := range []struct {
		text string
		want []string // among the candidates
		not  []string
	}{
		{"", []string{"next", "go ", "trim "}, nil},
		{"ne", []string{"next", "never ", "new "}, []string{"back"}},
		{"go b", []string{"go bow", "go bow at dusk", "go beam"}, []string{"go stern"}},
		{"go bow", []string{"go bow at dusk"}, nil},
		{`go "bow"`, nil, []string{`go "bow" at dusk`}},
		{"go to b", []string{"go to bow three-quarter", "go to beam"}, nil},
		{"look d", []string{"look dusk "}, nil},
		{"look dusk ", []string{"look dusk on", "look dusk off"}, nil},
		{"trim ", []string{"trim sky ", "trim strokes ", "trim background ", "trim everything "}, nil},
		{"trim sky ", []string{"trim sky up ", "trim sky tint ", "trim sky to "}, nil},
		{"trim sky up ", []string{"trim sky up 1/3 stop"}, nil},
		{"trim sky 10 m", []string{"trim sky 10 mired "}, nil},
		{"trim sky 10 mired ", []string{"trim sky 10 mired warmer"}, nil},
		{"trim in bow, be", []string{"trim in bow, beam "}, nil},
		{"trim in bow, beam sk", []string{"trim in bow, beam sky "}, nil},
		{"copy to bow, b", []string{"copy to bow, beam"}, nil},
		{"aim to", []string{"aim torch"}, []string{"aim strokes"}},
		{"next; go be", []string{"next; go beam"}, nil},
		{"play r", []string{"play round the boat"}, nil},
		{"KEEP h", []string{"KEEP here"}, nil},
		{"st", []string{"stop", "start ", "status"}, nil},
		{"quux", nil, []string{"quux"}},
	} {
		got := Complete(c.text, shoot)
		for _, w := range c.want {
			if !slices.Contains(got, w) && !(strings.HasSuffix(w, " ") && slices.ContainsFunc(got, func(g string) bool { return strings.HasPrefix(g, w) })) {
				t.Errorf("%q may go on as %q, without %q", c.text, got, w)
			}
		}
		for _, n := range c.not {
			if slices.Contains(got, n) {
				t.Errorf("%q may go on as %q", c.text, n)
			}
		}
	}
}

// A line that is completed as far as it goes is understood, unless something of the user's own
// comes next.
func TestCompletionsLeadToCommands(t *testing.T) {
	l := start(t)
	shoot := l.Shoot()
	rapid.Check(t, func(rt *rapid.T) {
		text := ""
		for range 8 {
			all := Complete(text, shoot)
			if len(all) == 0 {
				return // a name, a number: the user's
			}
			next := rapid.SampledFrom(all).Draw(rt, "candidate")
			if !strings.HasPrefix(strings.ToLower(next), strings.ToLower(text)) {
				rt.Fatalf("%q goes on as %q", text, next)
			}
			if text = next; !strings.HasSuffix(text, " ") {
				break
			}
		}
		if strings.HasSuffix(text, " ") || slices.Contains(deskWords, text) {
			return
		}
		if err := l.Check(text); err != nil {
			rt.Fatalf("%q: %v", text, err)
		}
	})
}

func FuzzComplete(f *testing.F) {
	shoot := kittiwake(f)
	for _, s := range []string{"", "trim sky up 1/3", `go "bow"`, "trim in bow, beam, ", "look", ";;", "go \xff", "keep as  x"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > operate.MaxCommand {
			return
		}
		if n := len(Complete(text, shoot)); n > MaxCandidates {
			t.Errorf("%d candidates", n)
		}
		var l line
		l.set(text, shoot)
		l.tab(1)
		l.tab(-1)
		if l.at < 0 || l.at > len(l.text) {
			t.Errorf("the cursor is at %d of %d", l.at, len(l.text))
		}
	})
}
