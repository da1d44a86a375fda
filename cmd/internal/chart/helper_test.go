package chart

import (
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/mix"
)

var update = flag.Bool("update", false, "write the golden files instead of comparing with them")

// golden compares a picture with the file of that name, or writes it.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("testdata", name+".svg")
	if *update {
		if err := os.WriteFile(file, got, 0o666); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("the picture differs from %s; look at what go test -update writes there", file)
	}
}

// panel3 is a light of three diodes: chromaticities of Gaussians of 632/18,
// 525/34 and 468/24 nm.
func panel3() []Emitter {
	return []Emitter{{"red", colour.XY{X: 0.706, Y: 0.294}}, {"green", colour.XY{X: 0.149, Y: 0.762}}, {"blue", colour.XY{X: 0.130, Y: 0.057}}}
}

func uvs(es []Emitter) (points []colour.UV) {
	for _, e := range es {
		points = append(points, e.XY.UV())
	}
	return points
}

// threeDiodes is a white asked of three diodes, missed a little.
func threeDiodes() *Chromaticity {
	return &Chromaticity{
		Title: "Light of three diodes", Subtitle: "5600 K at 2 %", Emitters: panel3(), Gamut: uvs(panel3()), Closed: true,
		Target:  colour.White{Kelvin: 5600}.XY(),
		Reached: colour.White{Kelvin: 5380, Duv: 0.0016}.XY(),
		Facts:   []Fact{{"gives", "5380 K tint +0.0016 green"}, {"error", "3.2 steps off"}, {"level", "2.0 %, 5.6 stops below full"}, {"power", "1.3 W"}},
	}
}

// twoWhites is a white that a bi-colour panel passes by.
func twoWhites() *Chromaticity {
	es := []Emitter{{"warm", colour.White{Kelvin: 2700}.XY()}, {"cool", colour.White{Kelvin: 6500, Duv: 0.003}.XY()}}
	return &Chromaticity{
		Title: "Panel of two whites", Subtitle: "4000 K at 100 %", Emitters: es, Gamut: uvs(es),
		Target:  colour.White{Kelvin: 4000}.XY(),
		Reached: colour.White{Kelvin: 3918, Duv: -0.0049}.XY(),
	}
}

// surveyed is a survey of invented figures, with what can happen in it: whites
// out of reach, whites without a verdict, depths from none to the limit.
func surveyed() *Survey {
	s := &Survey{Title: "Light of three diodes", Subtitle: "three: at each white the most it gives there", Survey: &fixtures.Survey{Lumens: 500}}
	for i, w := range fixtures.SurveyWhites() {
		x := float64(i) / 16
		p := fixtures.SurveyPoint{
			Asked: w, Reached: w, HasWhite: true, Steps: 30 * (1 - x) * (1 - x), Stops: 1.5 * (1 - x),
			Report: fixtures.Report{Aim: mix.Aim{DeltaUV: 30 * (1 - x) * (1 - x) * colour.Step, InGamut: i > 12}, Lumens: 500 * math.Exp2(-1.5*(1-x))},
		}
		p.Quality.CRI.Ra, p.Quality.SSI = 95-10*x, 80-30*x
		if i == 3 {
			p.Quality, p.Unjudged = fixtures.Quality{}, colour.ErrNotWhite
		}
		for k := range p.Clean {
			p.Clean[k].Stops = min(float64(i)*float64(k+1)/2, fixtures.CleanLimit)
		}
		if i == 5 {
			p.Clean[0].Stops = math.NaN()
		}
		s.Points = append(s.Points, p)
	}
	return s
}

// unjudged is the same light without spectra.
func unjudged() *Survey {
	s := surveyed()
	for i := range s.Points {
		s.Points[i].Quality, s.Points[i].Unjudged = fixtures.Quality{}, &fixtures.UnknownSpectrumError{Emitter: "red"}
	}
	return s
}

// checkSVG holds what every picture must hold: sound XML, a title and a
// description that are referred to, nothing fetched, no script, and nothing
// placed off the paper or nowhere.
func checkSVG(t fatal, picture []byte) (texts []string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(string(picture)))
	ids := map[string]bool{}
	labelled, inside := "", ""
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
			inside = e.Name.Local
			switch inside {
			case "script", "image", "use", "foreignObject", "a":
				t.Errorf("a picture with <%s>", inside)
			}
			for _, a := range e.Attr {
				checkAttribute(t, e.Name.Local, a)
				switch a.Name.Local {
				case "id":
					ids[a.Value] = true
				case "aria-labelledby":
					labelled = a.Value
				}
			}
		case xml.CharData:
			if inside == "text" && strings.TrimSpace(string(e)) != "" {
				texts = append(texts, string(e))
			}
		}
	}
	if labelled == "" || !strings.Contains(string(picture), `role="img"`) {
		t.Errorf("not a labelled image")
	}
	for _, id := range strings.Fields(labelled) {
		if !ids[id] {
			t.Errorf("labelled by %q, which is not there", id)
		}
	}
	return texts
}

// fatal is what testing.T and rapid.T have in common.
type fatal interface {
	Helper()
	Fatalf(format string, args ...any)
	Errorf(format string, args ...any)
}

// paperSlack is how far off the paper a hidden part of a clipped drawing may lie.
const paperSlack = 1e6

func checkAttribute(t fatal, element string, a xml.Attr) {
	t.Helper()
	switch a.Name.Local {
	case "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "width", "height":
		v, err := strconv.ParseFloat(a.Value, 64)
		if err != nil || math.IsNaN(v) || math.Abs(v) > paperSlack {
			t.Errorf("<%s %s=%q>", element, a.Name.Local, a.Value)
		}
		if (a.Name.Local == "r" || a.Name.Local == "width" || a.Name.Local == "height") && v < 0 {
			t.Errorf("<%s %s=%q> is negative", element, a.Name.Local, a.Value)
		}
	case "d":
		if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
			t.Errorf("<%s d=%q>", element, a.Value)
		}
	case "href", "onload", "onclick", "style":
		t.Errorf("<%s %s=%q>", element, a.Name.Local, a.Value)
	}
}
