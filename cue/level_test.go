package cue

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/fixtures/quantity"
)

func TestParseLevel(t *testing.T) {
	for _, c := range []struct {
		text  string
		kind  LevelKind
		value float64
	}{
		{"60 %", LevelPercent, 0.6},
		{"60%", LevelPercent, 0.6},
		{" 100 % ", LevelPercent, 1},
		{"-1.5 stops", LevelStops, -1.5},
		{"\u22121\u2153 stops", LevelStops, -4.0 / 3},
		{"0 stops", LevelStops, 0},
		{"key", LevelKey, 0},
		{"Key -2 stops", LevelKey, -2},
		{"key -1 1/3 stops", LevelKey, -4.0 / 3},
		{"key +1 stop", LevelKey, 1},
		{"key\u22121 stop", LevelKey, -1},
		{"key 0 stops", LevelKey, 0},
		{"850 lx", LevelLux, 850},
		{"10 fc", LevelLux, 10 / (0.3048 * 0.3048)}, // a footcandle is a lumen per square foot
		{"off", LevelOff, 0},
		{"OFF", LevelOff, 0},
	} {
		l, err := ParseLevel(c.text)
		if err != nil || l.Kind() != c.kind || math.Abs(l.Value()-c.value) > 1e-12*math.Abs(c.value) {
			t.Errorf("%q: kind %d, %v, %v", c.text, l.Kind(), l.Value(), err)
		}
		if l.String() != strings.TrimSpace(c.text) {
			t.Errorf("%q prints as %q", c.text, l)
		}
	}
}

func TestNoLevel(t *testing.T) {
	for _, c := range []struct{ text, what, cure string }{
		{"", "empty", `"60 %"`},
		{"80", `"80" has no unit`, `"80 %"`},
		{"120 %", `"120 %" is more than 100 %`, "100 %"},
		{"-5 %", "negative", "minus"},
		{"1.5 stops", "above full", `"-1.5 stops" for stops below full, "key +1.5 stops"`},
		{"+1 stop", "above full", `"key +1 stop"`},
		{"key 2 stops", "no sign", `"key -2 stops"`},
		{"key two", `"two" is not`, `"key -2 stops"`},
		{"keys", `"keys" is not a level`, `"60 %"`},
		{"key -2", `no unit`, `"key -2 stops"`},
		{"5600 K", "a colour", "colour ="},
		{"bright", `"bright" is not a level`, `"850 lx"`},
		{strings.Repeat("9", 200) + " %", "not a level", `"60 %"`},
		{"\xff %", "not a level", `"60 %"`},
		{"1,5 stops", "comma", `"1.5 stops"`},
	} {
		_, err := ParseLevel(c.text)
		var q *quantity.Error
		if !errors.As(err, &q) {
			t.Errorf("%q: %v is no *quantity.Error", c.text, err)
			continue
		}
		if !strings.Contains(q.What, c.what) || !strings.Contains(q.Cure, c.cure) {
			t.Errorf("%q: %s\nwant %s; %s", c.text, q, c.what, c.cure)
		}
	}
}

func TestLevelWith(t *testing.T) {
	for _, c := range []struct {
		text  string
		value float64
		want  string
	}{
		{"60 %", 0.725, "72.5 %"},
		{"60%", 0.7, "70%"},
		{"60 %", 3, "100 %"},
		{"-1.5 stops", -2, "-2 stops"},
		{"-1.5 stops", 1, "0 stops"},
		{"-1 1/3 stops", -2.0 / 3, "-2/3 stops"},
		{"\u22121 stop", -2.5, "\u22122.5 stops"},
		{"key -2 stops", -1, "key -1 stop"},
		{"key -2 stops", 1.5, "key +1.5 stops"},
		{"key", -0.5, "key -0.5 stops"},
		{"key -1 stop", 0, "key 0 stop"},
		{"850 lx", 425, "425 lx"},
		{"850 lx", -1, "0 lx"},
		{"off", 0.25, "25 %"},
		{"off", 0, "off"},
		{"60 %", math.NaN(), "60 %"},
	} {
		if got := level(c.text).With(c.value).String(); got != c.want {
			t.Errorf("%q with %v is %q, want %q", c.text, c.value, got, c.want)
		}
	}
}

// Whatever value a level takes, it stays of its kind, it prints what it is, and
// what it prints is read as the same level.
func TestLevelWithReadsBack(t *testing.T) {
	texts := []string{"60 %", "5.25 %", "-1.5 stops", "-1 1/3 stops", "\u22121 stop", "key", "Key -2 stops", "key +1/3 stop", "key 0 stops", "850 lx", "79 fc", "off"}
	rapid.Check(t, func(t *rapid.T) {
		l := *level(rapid.SampledFrom(texts).Draw(t, "written"))
		for range rapid.IntRange(1, 3).Draw(t, "times") {
			value := rapid.Float64Range(-30, 2000).Draw(t, "value")
			m := l.With(value)
			if m.Kind() != l.Kind() && l.Kind() != LevelOff {
				t.Fatalf("%q with %v is %q, of another kind", l, value, m)
			}
			back, err := ParseLevel(m.String())
			if err != nil || back != m {
				t.Fatalf("%q with %v prints as %q, which reads as %q (%v)", l, value, m, back, err)
			}
			l = m
		}
	})
}

func TestLevelMarshals(t *testing.T) {
	text, err := level("key -2 stops").MarshalText()
	var l Level
	if err != nil || l.UnmarshalText(text) != nil || l != *level("key -2 stops") {
		t.Errorf("%q, %v, %q", text, err, l)
	}
	if (Level{}).String() != "off" || l.UnmarshalText([]byte("much")) == nil {
		t.Error("the zero level is not off, or much is a level")
	}
}

func ExampleParseLevel() {
	l, _ := ParseLevel("key -2 stops")
	fmt.Println(l.With(-1.5))
	_, err := ParseLevel("80")
	fmt.Println(err)
	// Output:
	// key -1.5 stops
	// "80" has no unit; write "80 %", or "-1.5 stops" (below full), "key -2 stops", "850 lx"
}

// No text makes the parser panic, and what it reads it prints as written.
func FuzzParseLevel(f *testing.F) {
	for _, s := range []string{"60 %", "-1.5 stops", "key -2 stops", "key", "850 lx", "off", "1,5 stops", "key\u2009\u22121\u2153 stops", "key-1stop", "\xff", "#ff0000", "5600 K", "99999999999999999 %"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		l, err := ParseLevel(s)
		if err != nil {
			if err.Error() == "" || l != (Level{}) {
				t.Fatalf("%q: %q with error %v", s, l, err)
			}
			return
		}
		back, err := ParseLevel(l.String())
		if err != nil || back != l {
			t.Fatalf("%q reads as %q, which reads as %q (%v)", s, l, back, err)
		}
		for _, v := range []float64{0, -1, 0.5, 1e9, math.Inf(1), math.NaN()} {
			m := l.With(v)
			if again, err := ParseLevel(m.String()); err != nil || again != m {
				t.Fatalf("%q with %v prints as %q (%v)", s, v, m, err)
			}
		}
	})
}
