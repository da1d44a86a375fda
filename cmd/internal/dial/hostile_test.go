package dial

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"

	"pgregory.net/rapid"
)

// fatal is what testing.T and rapid.T have in common.
type fatal interface {
	Helper()
	Fatalf(format string, args ...any)
	Errorf(format string, args ...any)
}

// checkSVG holds what every picture must hold: sound XML, a role, a title and a
// description that are referred to, each id once, nothing fetched, no script and
// no style, every figure a number, and every text within the picture by the
// widths of a wide face.
func checkSVG(t fatal, picture []byte) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(picture))
	ids := map[string]bool{}
	var labelled []string
	var refs []string
	width, height := 0.0, 0.0
	var text *xml.StartElement
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("no XML: %v", err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			text = nil
			switch e.Name.Local {
			case "svg":
				box := strings.Fields(attr(&e, "viewBox"))
				width, _ = strconv.ParseFloat(box[2], 64)
				height, _ = strconv.ParseFloat(box[3], 64)
				labelled = strings.Fields(attr(&e, "aria-labelledby"))
				if attr(&e, "role") != "img" {
					t.Errorf("role is %q", attr(&e, "role"))
				}
			case "text":
				text = &e
			case "title", "desc", "g", "rect", "circle", "line", "path", "linearGradient", "radialGradient", "stop", "pattern":
			default:
				t.Errorf("a picture with <%s>", e.Name.Local)
			}
			for _, a := range e.Attr {
				checkAttribute(t, &e, a)
				if a.Name.Local == "id" {
					if ids[a.Value] {
						t.Errorf("id %q stands twice", a.Value)
					}
					ids[a.Value] = true
				}
				if id, ok := strings.CutPrefix(a.Value, "url(#"); ok {
					refs = append(refs, strings.TrimSuffix(id, ")"))
				}
			}
		case xml.CharData:
			if text != nil {
				checkFits(t, text, string(e), width, height)
			}
		case xml.EndElement:
			text = nil
		}
	}
	for _, id := range append(labelled, refs...) {
		if !ids[id] {
			t.Errorf("%q is referred to and not there", id)
		}
	}
	if len(labelled) != 2 {
		t.Errorf("labelled by %q", labelled)
	}
}

func attr(e *xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

var pathNumbers = regexp.MustCompile(`^[MLHVQZ0-9 .\-]*$`)

func checkAttribute(t fatal, e *xml.StartElement, a xml.Attr) {
	t.Helper()
	switch a.Name.Local {
	case "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "width", "height", "stroke-width", "font-size", "fill-opacity", "stroke-opacity", "stop-opacity":
		v, err := strconv.ParseFloat(a.Value, 64)
		if err != nil || math.IsNaN(v) || math.Abs(v) > 1e5 {
			t.Errorf("<%s %s=%q>", e.Name.Local, a.Name.Local, a.Value)
		}
	case "d":
		if !pathNumbers.MatchString(a.Value) {
			t.Errorf("<%s d=%q>", e.Name.Local, a.Value)
		}
	case "fill", "stroke", "stop-color":
		if !hexColour.MatchString(a.Value) && a.Value != "none" && !strings.HasPrefix(a.Value, "url(#") {
			t.Errorf("<%s %s=%q>", e.Name.Local, a.Name.Local, a.Value)
		}
	case "style", "href", "onload", "onclick":
		t.Errorf("<%s %s=%q>", e.Name.Local, a.Name.Local, a.Value)
	}
}

var hexColour = regexp.MustCompile(`^#[0-9a-f]{6}$`)

func checkFits(t fatal, e *xml.StartElement, text string, width, height float64) {
	t.Helper()
	x, _ := strconv.ParseFloat(attr(e, "x"), 64)
	y, _ := strconv.ParseFloat(attr(e, "y"), 64)
	size, _ := strconv.ParseFloat(attr(e, "font-size"), 64)
	w := textWidth(text, size, attr(e, "font-weight") != "")
	switch attr(e, "text-anchor") {
	case "middle":
		x -= w / 2
	case "end":
		x -= w
	}
	if x < -0.1 || x+w > width+0.1 || y > height || y < size*0.5 {
		t.Errorf("%q runs from %.1f to %.1f at %.1f, off a picture of %g by %g", text, x, x+w, y, width, height)
	}
	for _, r := range text {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
			t.Errorf("%q holds %U", text, r)
		}
	}
}

// checkText holds what every picture in characters must hold.
func checkText(t fatal, text string, width, height int, colour bool) {
	t.Helper()
	if !utf8.ValidString(text) {
		t.Errorf("%q is no UTF-8", text)
	}
	all := strings.Split(text, "\n")
	if len(all) > max(height, 1) {
		t.Errorf("%d lines, not %d", len(all), height)
	}
	for _, line := range all {
		bare := escapes.ReplaceAllString(line, "")
		if !colour && bare != line {
			t.Errorf("colour in %q", line)
		}
		if n := columns(bare); n > max(width, 0) {
			t.Errorf("%d columns, not %d: %q", n, width, bare)
		}
		for _, r := range bare {
			if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) {
				t.Errorf("%q holds %U", bare, r)
			}
		}
		if strings.HasSuffix(bare, " ") {
			t.Errorf("%q ends in a space", bare)
		}
	}
}

var escapes = regexp.MustCompile("\x1b\\[[0-9;]*m")

// nasty names: what text can do to a picture.
var nasty = []string{
	"", " ", "<script>alert(1)</script>", `"&'<>]]>`, "a\x00b\x1b[31mred", "\u202eevil", "e\u0301\u0301\u0301\u0301\u0301", "灯光左侧", "👩‍🚀 lamp", "🏳️‍🌈",
	strings.Repeat("long name ", 40), strings.Repeat("W", 300), "\xff\xfe", "line\nbreak\ttab", "\u0301starts with a mark", "ﷺﷺ", "한글 조명", "\u200b", "ｆｕｌｌ", "\ufffe",
}

func drawName(r *rapid.T, label string) string {
	return rapid.OneOf(rapid.SampledFrom(nasty), rapid.String(), rapid.Just("sky")).Draw(r, label)
}

func drawFloat(r *rapid.T, label string) float64 {
	return rapid.OneOf(rapid.SampledFrom([]float64{0, 1, -1, 45, 180, 360, math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -1e300, 1e-300}), rapid.Float64Range(-400, 400)).Draw(r, label)
}

func drawLight(r *rapid.T, label string) colour.XYZ {
	return colour.XYZ{X: drawFloat(r, label+"X"), Y: drawFloat(r, label+"Y"), Z: drawFloat(r, label+"Z")}
}

// drawSnapshot makes a snapshot of anything, for a shoot that it gives names of
// any kind, too.
func drawSnapshot(r *rapid.T, shoot *cue.Shoot) (*cue.Shoot, *cue.Snapshot) {
	s := *shoot
	rig := *s.Rig
	s.Rig = &rig
	rig.Sources = append([]fixtures.Source(nil), rig.Sources...)
	for i := range rig.Sources {
		rig.Sources[i].Name = drawName(r, "name")
		rig.Sources[i].Place.Distance = rig.Sources[i].Place.Distance.With(rapid.Float64Range(0, 900).Draw(r, "distance"))
		rig.Sources[i].Place.Azimuth.Degrees = drawFloat(r, "place")
		rig.Sources[i].Place.Elevation.Degrees = drawFloat(r, "elevation")
		rig.Sources[i].Place.Known = rapid.Bool().Draw(r, "known")
	}
	s.Subject.Name = drawName(r, "subject")
	s.Subject.Form.Kind = rapid.SampledFrom(append(cue.FormKinds(), "")).Draw(r, "form")
	s.Angles = append([]cue.Angle(nil), s.Angles[:rapid.IntRange(0, len(s.Angles)).Draw(r, "angles")]...)
	for i := range s.Angles {
		s.Angles[i].Name = drawName(r, "angle")
		s.Angles[i].Azimuth = drawFloat(r, "azimuth")
	}
	s.Cards = append([]cue.Card(nil), s.Cards...)
	for i := range s.Cards {
		s.Cards[i].Name = drawName(r, "card")
	}
	names := rapid.SliceOfN(rapid.Custom(func(r *rapid.T) string { return drawName(r, "text") }), 0, 6)
	snap := &cue.Snapshot{
		Cue: rapid.IntRange(-2, 12).Draw(r, "cue"), Next: rapid.IntRange(-2, 12).Draw(r, "next"), CueName: drawName(r, "cue name"),
		Motion:   rapid.SampledFrom([]cue.Motion{cue.Waiting, cue.Fading, cue.Settled, cue.Held, cue.Dark, "", "odd<"}).Draw(r, "motion"),
		Progress: drawFloat(r, "progress"), Azimuth: drawFloat(r, "table"), Speed: drawFloat(r, "speed"),
		Prompts: names.Draw(r, "prompts"), Notices: names.Draw(r, "notices"), Warnings: names.Draw(r, "warnings"), Looks: names.Draw(r, "looks"),
		Trimmed: rapid.Bool().Draw(r, "trimmed"), Here: rapid.Bool().Draw(r, "here"), HereAt: drawFloat(r, "here at"),
		Without: rapid.SliceOf(rapid.IntRange(-1, 20)).Draw(r, "without"),
		Alone:   rapid.IntRange(-1, 20).Draw(r, "alone"), Aim: rapid.IntRange(-1, 20).Draw(r, "aim"), Identify: rapid.IntRange(-1, 20).Draw(r, "identify"),
		Whole: drawFloat(r, "whole"), Dark: rapid.Bool().Draw(r, "dark"), Pace: drawFloat(r, "pace"), Sequence: drawName(r, "sequence"), Question: drawName(r, "question"),
		Choices: []cue.Choice{{Text: drawName(r, "choice"), Command: drawName(r, "command")}},
	}
	for range rapid.IntRange(0, len(rig.Sources)+2).Draw(r, "sources") {
		snap.Sources = append(snap.Sources, cue.SourceSnapshot{
			Asked: drawLight(r, "asked"), Reached: drawLight(r, "reached"), KeyStops: drawFloat(r, "stops"), Lux: drawFloat(r, "lux"), Headroom: drawFloat(r, "headroom"),
			Level: drawName(r, "level"), Colour: drawName(r, "colour"), KeptLevel: drawName(r, "kept"), KeptColour: drawName(r, "kept colour"), Trimmed: rapid.Bool().Draw(r, "trim"),
		})
	}
	return &s, snap
}

func TestAnythingCanBeDrawn(t *testing.T) {
	shoot := kittiwake(t)
	rapid.Check(t, func(r *rapid.T) {
		s, snap := drawSnapshot(r, shoot)
		opt := Options{
			Theme: rapid.SampledFrom(append(Themes(), "", "none")).Draw(r, "theme"), Frame: rapid.SampledFrom([]Frame{Camera, Boat, ""}).Draw(r, "frame"),
			Part: rapid.SampledFrom([]Part{Whole, Plan}).Draw(r, "part"), Width: rapid.IntRange(-5, 3000).Draw(r, "width"), ID: rapid.SampledFrom([]string{"", "a"}).Draw(r, "id"),
		}
		var once, again, sheet bytes.Buffer
		if err := errors.Join(SVG(&once, s, snap, opt), SVG(&again, s, snap, opt), Sheet(&sheet, s, []*cue.Snapshot{snap, snap, snap}, opt)); err != nil {
			r.Fatal(err)
		}
		checkSVG(r, once.Bytes())
		checkSVG(r, sheet.Bytes())
		if !bytes.Equal(once.Bytes(), again.Bytes()) {
			r.Error("drawn twice, it differs")
		}
		width, height := rapid.IntRange(-1, 210).Draw(r, "columns"), rapid.IntRange(-1, 65).Draw(r, "lines")
		inColour := rapid.Bool().Draw(r, "colour")
		checkText(r, Text(s, snap, width, height, inColour), width, height, inColour)
	})
}

func FuzzNames(f *testing.F) {
	for _, n := range nasty {
		f.Add(n, n, uint8(80), uint8(24))
	}
	shoot := kittiwake(f)
	rig := *shoot.Rig
	shoot.Rig = &rig
	rig.Sources = append([]fixtures.Source(nil), rig.Sources...)
	snap := start(f, kittiwake(f), true).do("go bow", 10).snapshot()
	f.Fuzz(func(t *testing.T, name, words string, columns, lines uint8) {
		for i := range rig.Sources {
			rig.Sources[i].Name = name
		}
		shoot.Subject.Name, snap.CueName, snap.Question = words, name, words
		snap.Warnings, snap.Prompts, snap.Looks = []string{words}, []string{name}, []string{words}
		snap.Sources[0].Level, snap.Sources[0].Trimmed = words, true
		for _, width := range []int{WideWidth, NarrowWidth} {
			var b bytes.Buffer
			if err := SVG(&b, shoot, snap, Options{Width: width, Theme: Ink}); err != nil {
				t.Fatal(err)
			}
			checkSVG(t, b.Bytes())
		}
		for _, inColour := range []bool{false, true} {
			checkText(t, Text(shoot, snap, int(columns), int(lines), inColour), int(columns), int(lines), inColour)
		}
	})
}

// A shoot with nothing in it can be drawn, too.
func TestEmptyShoot(t *testing.T) {
	shoot := &cue.Shoot{Rig: &fixtures.Rig{}}
	for _, snap := range []*cue.Snapshot{{}, {Cue: -1, Next: -1, Alone: -1, Aim: -1, Identify: -1}} {
		checkSVG(t, draw(t, shoot, snap, Options{}))
		checkSVG(t, draw(t, shoot, snap, Options{Width: 300}))
		checkText(t, Text(shoot, snap, 80, 24, false), 80, 24, false)
	}
}
