package tomlfile_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/profiles/tomlfile"
)

func TestNearest(t *testing.T) {
	names := []string{"name", "role", "profile", "universe", "address", "elevation", "azimuth", "distance", "fade", "on-exit", "xy", "to", "left stroke", "right stroke"}
	for text, want := range map[string]string{
		"nmae": "name", "rol": "role", "roles": "role", "prfile": "profile", "Profile": "profile", "univrese": "universe",
		"adress": "address", "elevatoin": "elevation", "elev": "elevation", "azimut": "azimuth", "on_exit": "on-exit", "onexit": "on-exit",
		"left-stroke": "left stroke", "LEFT STROK": "left stroke", "rihgt stroke": "right stroke", "fad": "fade", "XY": "xy",
		// Too far, too short or too vague.
		"x": "", "by": "", "at": "", "": "", "colour": "", "level": "", "stroke": "", "e": "", "di": "",
		strings.Repeat("name", 1000): "",
	} {
		if got := tomlfile.Nearest(text, names); got != want {
			t.Errorf("%.20q is taken for %q, want %q", text, got, want)
		}
	}
}

func TestNearestPrefersTheFirstLetter(t *testing.T) {
	if got := tomlfile.Nearest("bust", []string{"dust", "bush"}); got != "bush" {
		t.Errorf("bust is taken for %q", got)
	}
	if got := tomlfile.Nearest("angle 1", []string{"angle 2", "angle 3"}); got != "angle 2" {
		t.Errorf("of equally near names %q", got)
	}
	if got := tomlfile.Nearest("bea", []string{"beamwidth", "beamangle"}); got != "" {
		t.Errorf("the beginning of two names is taken for %q", got)
	}
}

// One slip in a name of three characters or more is always found, where there is
// no other name to take it for.
func TestNearestFindsOneSlip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringMatching(`[a-z]{3,20}`).Draw(t, "name")
		b := []byte(name)
		i := rapid.IntRange(0, len(b)-1).Draw(t, "at")
		switch rapid.IntRange(0, 3).Draw(t, "slip") {
		case 0:
			b[i] = '#'
		case 1:
			b = append(b[:i], b[i+1:]...)
		case 2:
			b = append(b[:i], append([]byte{'#'}, b[i:]...)...)
		case 3:
			if i > 0 {
				b[i-1], b[i] = b[i], b[i-1]
			}
		}
		if got := tomlfile.Nearest(string(b), []string{"0000000000", name}); got != name {
			t.Fatalf("%s for %s gives %q", b, name, got)
		}
	})
}

func TestDidYouMean(t *testing.T) {
	var many []string
	for i := range 15 {
		many = append(many, fmt.Sprintf("n%02d", i))
	}
	for _, c := range []struct {
		text  string
		names []string
		want  string
	}{
		{"s", []string{"sky"}, `known: "sky"`},
		{"skye", []string{"sky"}, `did you mean "sky"?`},
		{"x", nil, "there is none to choose from"},
		{"zzzzz", many, `known: "n00", "n01", "n02", "n03", "n04", "n05", "n06", "n07", "n08", "n09", "n10", "n11" and 3 more`},
	} {
		if got := tomlfile.DidYouMean(c.text, c.names); got != c.want {
			t.Errorf("%s: %s, want %s", c.text, got, c.want)
		}
	}
}

func TestNearestAllocatesNothing(t *testing.T) {
	names := []string{"name", "role", "profile", "universe"}
	if n := testing.AllocsPerRun(100, func() { tomlfile.Nearest("univrese", names) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
