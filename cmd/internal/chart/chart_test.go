package chart

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/fixtures"
	"limn/fixtures/colour"
)

func TestPicturesAreAsTheyWere(t *testing.T) {
	if *update {
		if err := os.MkdirAll(filepath.Join("testdata"), 0o777); err != nil {
			t.Fatal(err)
		}
	}
	for name, picture := range map[string][]byte{
		"three-diodes":    threeDiodes().SVG(),
		"two-whites":      twoWhites().SVG(),
		"survey":          surveyed().SVG(),
		"survey-unjudged": unjudged().SVG(),
	} {
		checkSVG(t, picture)
		golden(t, name, picture)
	}
}

// The picture says what stands in it: names, what was asked, figures, in the
// texts and in the description.
func TestDiagramSaysWhatItShows(t *testing.T) {
	c := threeDiodes()
	picture := c.SVG()
	texts := checkSVG(t, picture)
	for _, want := range []string{c.Title, c.Subtitle, "red", "green", "blue", "asked", "reached", "1 step", "2 steps", "4 steps", "5600 K", "580", "CIE daylight", "5380 K tint +0.0016 green"} {
		if !slices.Contains(texts, want) {
			t.Errorf("%q is not written in %q", want, texts)
		}
	}
	for _, want := range []string{"<title id=\"title\">Light of three diodes: 5600 K at 2 %</title>", "steps of 0.0011 away", "Emitters: red, green, blue", "prefers-color-scheme:dark"} {
		if !strings.Contains(string(picture), want) {
			t.Errorf("%q is missing", want)
		}
	}
}

func TestDarkDiagram(t *testing.T) {
	c := threeDiodes()
	c.Dark, c.Reached = true, colour.XY{}
	picture := c.SVG()
	texts := checkSVG(t, picture)
	if slices.Contains(texts, "reached") || !strings.Contains(string(picture), "the light is off") {
		t.Errorf("a light that is off is drawn with %q", texts)
	}
}

// Step circles are round and of their size: the inset's side is known in u'v'.
func TestStepCirclesToScale(t *testing.T) {
	c := threeDiodes()
	z := c.neighbourhood()
	perStep := colour.Step * sideWidth / (2 * z.half)
	picture := string(c.SVG())
	for _, n := range []float64{1, 2, 4} {
		if want := fmt.Sprintf(`r="%s"`, px(n*perStep)); !strings.Contains(picture, want) {
			t.Errorf("no circle of %g steps with %s", n, want)
		}
	}
	if d := z.half - 4*colour.Step; d < 0 {
		t.Errorf("the outermost circle is cut by %g", -d)
	}
}

func TestSurveySaysWhatItShows(t *testing.T) {
	texts := checkSVG(t, surveyed().SVG())
	for _, want := range []string{"Colour error", "Output", "Colour rendering", "Deepest clean level", "2000", "500", "10000", "100", "Ra 85", "SSI 50", "500 lm", "full", "0.024 %"} {
		if !slices.Contains(texts, want) {
			t.Errorf("%q is not written in %q", want, texts)
		}
	}
	texts = checkSVG(t, unjudged().SVG())
	if !slices.Contains(texts, "not known: the profile does not tell the spectra of its emitters") {
		t.Errorf("unknown rendering is not said: %q", texts)
	}
}

// A survey of nothing and one of a single white are pictures too.
func TestSmallSurveys(t *testing.T) {
	checkSVG(t, (&Survey{Title: "none", Survey: &fixtures.Survey{}}).SVG())
	one := surveyed()
	one.Points = one.Points[:1]
	checkSVG(t, one.SVG())
}

// Text out of a profile cannot break out of its element.
func TestTextIsEscaped(t *testing.T) {
	const hostile = "</title><script>alert(1)</script>&\"'\x00\x1b[2J\u202e\xff\ufffe"
	c := threeDiodes()
	c.Title, c.Subtitle, c.Emitters[0].Name, c.Facts[0].Value = hostile, hostile, hostile, hostile
	s := surveyed()
	s.Title, s.Subtitle = hostile, hostile
	for _, picture := range [][]byte{c.SVG(), s.SVG()} {
		checkSVG(t, picture)
		for _, bad := range []string{"<script", "\x00", "\x1b", "\u202e", "\ufffe"} {
			if strings.Contains(string(picture), bad) {
				t.Errorf("%q got through", bad)
			}
		}
	}
}

// Any colours give a sound picture.
func TestAnyDiagram(t *testing.T) {
	anyXY := func(t *rapid.T, what string) colour.XY {
		x := rapid.Float64Range(0.01, 0.73).Draw(t, what+" x")
		return colour.XY{X: x, Y: rapid.Float64Range(0.02, 0.99-x).Draw(t, what+" y")}
	}
	rapid.Check(t, func(t *rapid.T) {
		c := &Chromaticity{Title: rapid.String().Draw(t, "title"), Target: anyXY(t, "target"), Reached: anyXY(t, "reached")}
		for i := range rapid.IntRange(0, 12).Draw(t, "emitters") {
			c.Emitters = append(c.Emitters, Emitter{rapid.String().Draw(t, "name"), anyXY(t, fmt.Sprint(i))})
		}
		c.Gamut, c.Closed = uvs(c.Emitters), len(c.Emitters) > 2
		checkSVG(t, c.SVG())
	})
}

// No text lies on another, nor outside its area.
func TestLabelsKeepApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := &labels{canvas: newCanvas(400, 300, "", ""), area: box{0, 0, 400, 300}}
		for range rapid.IntRange(1, 40).Draw(t, "labels") {
			at := point{rapid.Float64Range(0, 400).Draw(t, "x"), rapid.Float64Range(0, 300).Draw(t, "y")}
			before := len(l.taken)
			if !l.put("mark", 11, at, 8, rapid.Float64Range(-4, 4).Draw(t, "angle"), rapid.StringN(1, 12, -1).Draw(t, "text")) {
				continue
			}
			b := l.taken[before]
			if !b.within(l.area) {
				t.Fatalf("%+v leaves the area", b)
			}
			for _, other := range l.taken[:before] {
				if b.overlaps(other) {
					t.Fatalf("%+v lies on %+v", b, other)
				}
			}
		}
	})
}

// The places of the diagram are those of u'v': illuminant E is u' 4/19, v' 9/19.
func TestPlane(t *testing.T) {
	p := plane{left: 10, bottom: 500, u: 0, v: 0, perUnit: 1000}
	at := p.at(colour.XY{X: 1.0 / 3, Y: 1.0 / 3}.UV())
	if px(at.x) != "220.53" || px(at.y) != "26.32" {
		t.Errorf("illuminant E at %+v", at)
	}
}

func TestNumbers(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{px(1.0 / 3), "0.33"},
		{px(-0.001), "0"},
		{px(12), "12"},
		{whole(-0.4), "0"},
		{whole(-2.6), "\u22123"},
		{whole(99.5), "100"},
		{stopText(0), "full"},
		{stopText(1.5), "\u22121.5"},
		{shareText(0), "100 %"},
		{shareText(3), "12 %"},
		{shareText(6), "1.6 %"},
		{shareText(12), "0.024 %"},
		{swatch(colour.WhiteD65), "#ffffff"},
		{swatch(colour.XY{X: 0.64, Y: 0.33}), "#ff0000"},
		{swatch(colour.XY{}), "#808080"},
		{shorten("brass", 5), "brass"},
		{shorten("brasses", 5), "bras…"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}
