package chart

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func bands() *Flicker {
	f := &Flicker{Title: "Tern", Subtitle: "bow, f/16", Seen: 0.01}
	wave := FlickerLight{Name: "left <stroke>", Verdict: "bands", Rows: true}
	for i := range 40 {
		wave.Values = append(wave.Values, 1+0.1*math.Sin(float64(i)/3))
	}
	f.Lights = []FlickerLight{wave, {Name: "sky", Verdict: "steady", Values: []float64{1, 1, 1}}, {Name: "torch", Verdict: "at the edge"}}
	return f
}

func TestBandsSayWhatTheyShow(t *testing.T) {
	picture := bands().SVG()
	texts := checkSVG(t, picture)
	for _, want := range []string{"Tern", "left <stroke>", "bands", "rows from top to bottom", "frame after frame", "+10 %", "-10 %", "+5 %"} {
		if !slices.Contains(texts, want) {
			t.Errorf("%q is not written in %q", want, texts)
		}
	}
	if !strings.Contains(string(picture), "left &lt;stroke&gt;: bands, from 90.0 % to 110.0 % of the mean.") {
		t.Error("the description does not tell the bands")
	}
	golden(t, "bands", picture)
}

func TestNoBands(t *testing.T) {
	texts := checkSVG(t, (&Flicker{Title: "Tern", Seen: 0.01}).SVG())
	if !slices.Contains(texts, "no light of this cue is known to flicker") {
		t.Errorf("%q", texts)
	}
}
