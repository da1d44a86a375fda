package chart

import (
	"errors"
	"fmt"
	"math"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// errorAt lays out an error in steps, even in the logarithm of 1 + steps, so
// that half a step and forty are both seen.
func errorAt(y scale, steps float64) float64 { return y.clamp(math.Log2(1 + steps)) }

// outOfReach is how many steps from a white the nearest that a light can make
// must lie to be drawn as out of its reach: less is a matter of digits.
const outOfReach = 0.1

func (s *Survey) drawError(v *canvas, p panel) {
	v.open(p, "Colour error", "u'v' steps from the white", "asked for; hollow where the", "light cannot make it")
	most := 4.0
	for i := range s.Points {
		most = max(most, s.Points[i].Steps)
	}
	y := scale{0, math.Log2(1 + 1.25*most), p.bottom, p.top}
	// What the steps mean: common practice for lights side by side on a neutral ground.
	bands := []struct {
		class    string
		from, to float64
		means    string
	}{{"band4", 2, 4, "acceptable"}, {"band2", 1, 2, "excellent"}, {"band1", 0, 1, "not seen"}}
	for _, b := range bands {
		top, bottom := errorAt(y, b.to), errorAt(y, b.from)
		v.rect(b.class, point{surveyLeft, top}, surveyRight-surveyLeft, bottom-top)
		v.beside("small", (top+bottom)/2, b.means)
	}
	v.rule(p.bottom, "0")
	for n := 1.0; n <= most; n *= 2 {
		v.rule(errorAt(y, n), fmt.Sprint(n))
	}
	for i := range s.Points {
		q := &s.Points[i]
		at := point{p.x.at(q.Asked.Mired()), errorAt(y, q.Steps)}
		v.line("stem", point{at.x, p.bottom}, at)
		dot := "dot"
		if q.Report.Aim.DeltaUV > outOfReach*colour.Step {
			dot = "hollow"
		}
		v.circle(dot, at, 4.5)
	}
}

func (s *Survey) drawOutput(v *canvas, p panel) {
	v.open(p, "Output", "stops below the most that the", "light gives at any colour,", fmt.Sprintf("%.0f lm", s.Lumens))
	most := 1.0
	for i := range s.Points {
		most = max(most, s.Points[i].Stops)
	}
	most = math.Ceil(most*2) / 2
	y := scale{0, most, p.top + 12, p.bottom - 10}
	for _, n := range stopMarks(most) {
		v.rule(y.at(n), stopText(n))
	}
	s.curve(v, p, "series", "dot", func(q *fixtures.SurveyPoint) (float64, bool) { return y.clamp(q.Stops), true })
	for k, i := range s.extremes() {
		q := &s.Points[i]
		below := [2]float64{20, -10}[k]
		v.text("mark", atMiddle, point{p.x.at(q.Asked.Mired()), y.clamp(q.Stops) + below}, fmt.Sprintf("%.0f lm", q.Report.Lumens))
	}
}

// extremes are the points of most and of least output; one where they are the same.
func (s *Survey) extremes() []int {
	if len(s.Points) == 0 {
		return nil
	}
	most, least := 0, 0
	for i := range s.Points {
		if s.Points[i].Stops < s.Points[most].Stops {
			most = i
		}
		if s.Points[i].Stops > s.Points[least].Stops {
			least = i
		}
	}
	if s.Points[least].Stops-s.Points[most].Stops < 0.1 {
		return []int{most}
	}
	return []int{most, least}
}

func (s *Survey) drawRendering(v *canvas, p panel) {
	low, last := 70.0, -1
	for i := range s.Points {
		if q := &s.Points[i]; q.Unjudged == nil {
			last = i
			low = min(low, math.Floor(min(q.Quality.CRI.Ra, q.Quality.SSI)/10)*10)
		}
	}
	v.open(p, "Colour rendering", "Ra (CIE 13.3), solid; SSI", "(ST 2122), dashed, against a", "reference of the same kelvin")
	if last < 0 {
		v.text("sub", atMiddle, point{(surveyLeft + surveyRight) / 2, (p.top+p.bottom)/2 + 4}, s.whyUnjudged())
		return
	}
	low = max(low, lowestIndex)
	y := scale{low, 100, p.bottom - 6, p.top + 6}
	step := 10.0
	for (100-low)/step > 5 {
		step *= 2
	}
	for n := 100.0; n >= low; n -= step {
		v.rule(y.at(n), whole(n))
	}
	ra := func(q *fixtures.SurveyPoint) (float64, bool) { return y.clamp(q.Quality.CRI.Ra), q.Unjudged == nil }
	ssi := func(q *fixtures.SurveyPoint) (float64, bool) { return y.clamp(q.Quality.SSI), q.Unjudged == nil }
	s.curve(v, p, "series2", "dot2", ssi)
	s.curve(v, p, "series", "dot", ra)
	q := &s.Points[last]
	a, b := y.clamp(q.Quality.CRI.Ra), y.clamp(q.Quality.SSI)
	const apart = 7 // px: half of what a name takes
	if mid := (a + b) / 2; math.Abs(a-b) < 2*apart {
		up := math.Copysign(apart, q.Quality.CRI.Ra-q.Quality.SSI)
		a, b = mid-up, mid+up
	}
	v.beside("name key1", a, "Ra "+whole(q.Quality.CRI.Ra))
	v.beside("name key2", b, "SSI "+whole(q.Quality.SSI))
}

// lowestIndex is the least Ra and SSI drawn; what is worse lies on the edge.
const lowestIndex = -20

func (s *Survey) whyUnjudged() string {
	for i := range s.Points {
		var unknown *fixtures.UnknownSpectrumError
		if errors.As(s.Points[i].Unjudged, &unknown) {
			return "not known: the profile does not tell the spectra of its emitters"
		}
	}
	return "not known: no white is reached"
}

// Widths and classes of the bars of a clean level, by [fixtures.CleanSteps].
var (
	cleanWidth = [len(fixtures.CleanSteps)]float64{8, 15, 22}
	cleanClass = [len(fixtures.CleanSteps)]string{"deep1", "deep2", "deep4"}
)

func (s *Survey) drawClean(v *canvas, p panel) {
	v.open(p, "Deepest clean level", "stops below full at that white;", "inner bar: within 1 step,", "middle: 2, outer: 4")
	y := scale{0, fixtures.CleanLimit, p.top, p.bottom}
	for n := 0.0; n <= fixtures.CleanLimit; n += 3 {
		v.rule(y.at(n), stopText(n))
		v.beside("small", y.at(n), shareText(n))
	}
	for i := range s.Points {
		q := &s.Points[i]
		at := p.x.at(q.Asked.Mired())
		for k := len(q.Clean) - 1; k >= 0; k-- {
			const least = 2 // px, so that "full only" is seen
			if d := q.Clean[k]; !math.IsNaN(d.Stops) {
				v.rect(cleanClass[k], point{at - cleanWidth[k]/2, p.top}, cleanWidth[k], max(y.clamp(d.Stops)-p.top, least))
			}
		}
	}
}
