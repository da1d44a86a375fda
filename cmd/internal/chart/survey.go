package chart

import (
	"fmt"
	"math"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// Survey is what a light does at white after white, to be drawn.
type Survey struct {
	Title, Subtitle string
	*fixtures.Survey
}

// Size of the picture and its parts.
const (
	surveyWidth  = 1140
	surveyMargin = 40
	surveyLeft   = 268 // of the panels; what they show stands before them
	surveyRight  = 1040
	surveyTop    = 140
	panelHeight  = 118
	panelGap     = 30
	surveyHeight = surveyTop + 4*(panelHeight+panelGap) + 36
)

// SVG draws four panels over one axis of whites, even in mired: the colour's
// error, the output, colour rendering, and the deepest clean level.
func (s *Survey) SVG() []byte {
	v := newCanvas(surveyWidth, surveyHeight, s.Title+": "+s.Subtitle, s.describe())
	v.text("title", atStart, point{surveyMargin, 42}, shorten(s.Title, 70))
	v.text("sub", atStart, point{surveyMargin, 64}, shorten(s.Subtitle, 130))
	x := s.axis()
	v.whites(s, x)
	for i, draw := range []func(*canvas, panel){s.drawError, s.drawOutput, s.drawRendering, s.drawClean} {
		top := float64(surveyTop + i*(panelHeight+panelGap))
		draw(v, panel{x: x, top: top, bottom: top + panelHeight})
	}
	v.text("small", atStart, point{surveyLeft, surveyHeight - 24}, fmt.Sprintf(
		"1 step = %g u'v'. Clean: at this level and at every one above it the white stays within so many steps, the level within 1/3 stop.", colour.Step))
	return v.bytes()
}

// describe is the picture in words.
func (s *Survey) describe() string {
	text := "Four panels over colour temperature: colour error in u'v' steps, output in stops below the most, colour rendering Ra and similarity SSI, deepest clean level in stops below full."
	for i := range s.Points {
		p := &s.Points[i]
		text += fmt.Sprintf(" %.0f K: %.1f steps off, %.1f stops below the most", p.Asked.Kelvin, p.Steps, p.Stops)
		if p.Unjudged == nil {
			text += fmt.Sprintf(", Ra %.0f, SSI %.0f", p.Quality.CRI.Ra, p.Quality.SSI)
		}
		if d := p.Clean[0]; !math.IsNaN(d.Stops) {
			text += fmt.Sprintf(", clean within 1 step to %.1f stops", d.Stops)
		}
		text += "."
	}
	return text
}

// axis lays the whites out even in mired, warm at the left.
func (s *Survey) axis() scale {
	warm, cool := math.Inf(-1), math.Inf(1)
	for i := range s.Points {
		m := s.Points[i].Asked.Mired()
		warm, cool = max(warm, m), min(cool, m)
	}
	if !(warm-cool >= 1) { // one white, or none
		warm, cool = warm+1, cool-1
	}
	const inner = 26 // px from the panel's edge to the first white
	return scale{warm, cool, surveyLeft + inner, surveyRight - inner}
}

// whites names the whites above the panels: kelvin, and mired below them.
func (v *canvas) whites(s *Survey, x scale) {
	const y = surveyTop - 26
	const room = 31 // px that a number takes
	v.text("small", atEnd, point{surveyLeft - 8, y - 14}, "asked for, K")
	v.text("small", atEnd, point{surveyLeft - 8, y + 2}, "mired")
	last := math.Inf(-1)
	for i := range s.Points {
		p := &s.Points[i]
		at := x.at(p.Asked.Mired())
		v.tinted("swatch", swatch(p.Asked.XY()), point{at, y + 14}, 5)
		if at-last < room {
			continue
		}
		last = at
		v.text("mark", atMiddle, point{at, y - 14}, fmt.Sprintf("%.0f", p.Asked.Kelvin))
		v.text("small", atMiddle, point{at, y + 2}, fmt.Sprintf("%.0f", p.Asked.Mired()))
	}
}
