package chart

import (
	"fmt"
	"math"

	"limn/fixtures"
)

// panel is the room of one part of a survey.
type panel struct {
	x           scale
	top, bottom float64
}

// open draws the panel's ground, and its name and unit before it.
func (v *canvas) open(p panel, name string, words ...string) {
	v.rect("field", point{surveyLeft, p.top}, surveyRight-surveyLeft, p.bottom-p.top)
	v.text("head", atStart, point{surveyMargin, p.top + 14}, name)
	for i, w := range words {
		v.text("small", atStart, point{surveyMargin, p.top + 34 + 16*float64(i)}, w)
	}
}

// rule is one line of a panel's scale, with what it stands for.
func (v *canvas) rule(y float64, text string) {
	v.line("grid", point{surveyLeft, y}, point{surveyRight, y})
	v.text("mark", atEnd, point{surveyLeft - 8, y + 4}, text)
}

// beside is a word after the panel, at a height.
func (v *canvas) beside(class string, y float64, text string) {
	v.text(class, atStart, point{surveyRight + 10, y + 4}, text)
}

// curve joins the whites that have a value, and breaks where one has none.
func (s *Survey) curve(v *canvas, p panel, line, dot string, value func(*fixtures.SurveyPoint) (y float64, ok bool)) {
	var run, all []point
	flush := func() {
		if len(run) > 1 {
			v.path(line, run, false)
		}
		run = nil
	}
	for i := range s.Points {
		y, ok := value(&s.Points[i])
		if !ok {
			flush()
			continue
		}
		at := point{p.x.at(s.Points[i].Asked.Mired()), y}
		run, all = append(run, at), append(all, at)
	}
	flush()
	for _, at := range all {
		v.circle(dot, at, 3.5)
	}
}

// stopMarks are the marks of a scale from 0 to so many stops, seven at most.
func stopMarks(most float64) (marks []float64) {
	step := 0.5
	for most/step > 6 {
		step *= 2
	}
	for n := 0.0; n <= most; n += step {
		marks = append(marks, n)
	}
	return marks
}

// stopText is a level below full, with the true minus sign.
func stopText(stops float64) string {
	if stops == 0 {
		return "full"
	}
	return fmt.Sprintf("\u2212%g", stops)
}

// whole is a number without decimals, with the true minus sign, and never -0.
func whole(v float64) string {
	if r := math.Round(v); r < 0 {
		return fmt.Sprintf("\u2212%.0f", -r)
	}
	return fmt.Sprintf("%.0f", math.Abs(math.Round(v)))
}

// shareText is the same level in per cent, to two figures.
func shareText(stops float64) string {
	share := 100 * math.Exp2(-stops)
	return fmt.Sprintf("%.*f %%", max(0, 1-int(math.Floor(math.Log10(share)))), share)
}
