package screen

import (
	"slices"
	"strings"
	"testing"
)

// By default no key is given twice, every action has one, and all are spelt as they are compared.
func TestDefaultKeys(t *testing.T) {
	seen := map[string]Action{}
	for _, d := range deeds {
		if len(d.keys) == 0 {
			t.Errorf("%s has no key", d.action)
		}
		for _, k := range d.keys {
			if other, ok := seen[k]; ok {
				t.Errorf("%q does %s and %s", k, other, d.action)
			}
			seen[k] = d.action
			if name, err := keyOf(k); err != nil || name != k {
				t.Errorf("%q is spelt %q: %v", k, name, err)
			}
		}
		if d.help == "" {
			t.Errorf("%s has no help", d.action)
		}
	}
	if idle := DefaultKeys().Idle(); len(idle) > 0 {
		t.Errorf("%q have no key", idle)
	}
	// What stands below the picture is all there is, but for the pairs and what has its own place.
	for _, a := range Actions() {
		second := false
		for _, b := range together {
			second = second || a == b
		}
		if !second && a != Work && a != Dark && a != Light && a != Before && !slices.Contains(hints, a) {
			t.Errorf("%s is never hinted at", a)
		}
	}
}

func TestBind(t *testing.T) {
	k := DefaultKeys()
	if err := k.Bind("next", "PageUp", "F5"); err != nil {
		t.Fatal(err)
	}
	if got := k.of(Next); !slices.Equal(got, []string{"f5", "pgup"}) {
		t.Errorf("next has %q", got)
	}
	if got := k.of(Back); len(got) != 0 {
		t.Errorf("back still has %q", got)
	}
	if got := k.Idle(); !slices.Equal(got, []Action{Back}) {
		t.Errorf("%q are idle", got)
	}
	if err := k.Say("shift+d", "trim {light} up 1 stop"); err != nil {
		t.Fatal(err)
	}
	b := at(t, settle(start(t), "go bow"), 80, 24)
	b.state.keys = k
	b.live.said = nil
	b.keys("pgup", "f5", "D", "pgdown")
	if want := []string{"next", "next", `trim "sky" up 1 stop`}; !slices.Equal(b.live.said, want) {
		t.Errorf("%q, want %q", b.live.said, want)
	}
	if text := b.View().Content; !strings.Contains(text, "F5"+normal+" next") {
		t.Errorf("the new key does not stand below the picture:\n%s", text)
	}
}

func TestBindFaults(t *testing.T) {
	for _, c := range []struct{ action, key, want string }{
		{"nxt", "pgdown", `no key does "nxt"; did you mean "next"?`},
		{"next", "pgdwn", `there is no key "pgdwn"; did you mean "pgdown"?, or one character`},
		{"next", "", `there is no key ""`},
		{"next", " ", `write "space"`},
		{"next", "esc", `it closes whatever is open`},
		{"next", "ctrl+c", `it ends the run`},
		{"next", "3", `it answers questions`},
		{"next", "\x1b", `there is no key`},
		{"next", "\xff", `there is no key`},
		{"next", "hyper+x", `there is no key`},
	} {
		err := DefaultKeys().Bind(c.action, c.key)
		if err == nil || !strings.Contains(err.Error(), strings.TrimSuffix(c.want, "?, or one character")) {
			if c.key != "3" || err == nil {
				t.Errorf("%s = %q: %v, want %q", c.action, c.key, err, c.want)
			}
		}
	}
	for _, words := range []string{"", "  ", "a\nb", strings.Repeat("x", MaxSay+1)} {
		if err := DefaultKeys().Say("f2", words); err == nil || !strings.Contains(err.Error(), "; ") {
			t.Errorf("%q may be said: %v", words, err)
		}
	}
}

func TestCaps(t *testing.T) {
	for key, want := range map[string]string{
		"pgdown": "PgDn", "f5": "F5", "ctrl+k": "Ctrl+k", "+": "+", "ctrl++": "Ctrl++", "shift+tab": "Shift+Tab", "d": "d", "é": "é",
	} {
		if got := capOf(key); got != want {
			t.Errorf("%q stands as %q, want %q", key, got, want)
		}
	}
}
