package cue

import (
	"strings"
	"testing"
)

func TestNearest(t *testing.T) {
	names := []string{"bow", "beam", "bow three-quarter", "stern", "port quarter"}
	for _, c := range []struct{ text, want string }{
		{"bwo", "bow"},
		{"Beam", "beam"},
		{"beem", "beam"},
		{"sterns", "stern"},
		{"tsern", "stern"},
		{"bow three quarter", "bow three-quarter"},
		{"prt quater", "port quarter"},
		{"keel", ""},
		{"", ""},
		{"x", ""},
		{strings.Repeat("b", 500), ""},
	} {
		if got := Nearest(c.text, names); got != c.want {
			t.Errorf("%q is taken for %q, want %q", c.text, got, c.want)
		}
	}
}

func TestDidYouMean(t *testing.T) {
	many := strings.Fields("alpha bravo charlie delta echo foxtrot golf hotel india juliet")
	for _, c := range []struct {
		text  string
		names []string
		want  string
	}{
		{"brafo", many, `did you mean "bravo"?`},
		{"zzzzz", many[:2], `known are "alpha", "bravo"`},
		{"zzzzz", many, `known are "alpha", "bravo", "charlie", "delta", "echo", "foxtrot", "golf", "hotel" and 2 more`},
		{"zzzzz", nil, "there are none yet"},
	} {
		if got := DidYouMean(c.text, c.names); got != c.want {
			t.Errorf("got %s, want %s", got, c.want)
		}
	}
}
