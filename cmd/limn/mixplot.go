package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"limn/cmd/internal/chart"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// profileChart is the chromaticity diagram of a light solved by its profile.
func profileChart(h *fixtures.Head, target colour.XY, r *fixtures.Report, asked, level string) *chart.Chromaticity {
	p := h.Profile()
	c := &chart.Chromaticity{Title: titleOf(p), Subtitle: fmt.Sprintf("%s: %s at %s", p.Name, asked, level), Target: target}
	for i := range p.Emitters {
		c.Emitters = append(c.Emitters, chart.Emitter{Name: p.Emitters[i].Name, XY: p.Emitters[i].XY})
	}
	c.Gamut, c.Closed = h.Outline()
	reachedOnChart(c, r.Light, r.Aim.MaxY)
	c.Facts = append(c.Facts, chart.Fact{Label: "slots", Value: slotValues(r)})
	if q, err := h.Quality(r); err == nil {
		c.Facts = append(c.Facts, chart.Fact{Label: "Ra", Value: qualityText(&q)})
	}
	if r.Lumens > 0 {
		c.Facts = append(c.Facts, chart.Fact{Label: "flux", Value: fmt.Sprintf("%.0f lm", r.Lumens)})
	}
	return wattsOnChart(c, r.Watts)
}

// slotValues are the values of a light's slots, from the first on.
func slotValues(r *fixtures.Report) string {
	values := make([]string, len(r.Slots))
	for i, s := range r.Slots {
		values[i] = strconv.Itoa(int(s.Value))
	}
	return strings.Join(values, " ")
}

// emittersChart is that of emitters given by hand.
func (a *answer) emittersChart(p *problem, asked, level string) *chart.Chromaticity {
	c := &chart.Chromaticity{Title: "Emitters by hand", Subtitle: fmt.Sprintf("%s at %s", asked, level), Target: p.Target}
	var lit []colour.UV
	for _, e := range p.Emitters {
		c.Emitters = append(c.Emitters, chart.Emitter{Name: e.Name, XY: e.XY})
		if e.Y > 0 { // what gives no light widens no gamut
			lit = append(lit, e.XY.UV())
		}
	}
	c.Gamut, c.Closed = fixtures.Hull(lit)
	reachedOnChart(c, a.Light, a.MaxY)
	return wattsOnChart(c, a.Watts)
}

// reachedOnChart says what comes out against what was asked.
func reachedOnChart(c *chart.Chromaticity, light colour.XYZ, maxY float64) {
	xy, ok := light.XY()
	if !ok {
		c.Dark = true
		c.Facts = append(c.Facts, chart.Fact{Label: "gives", Value: "no light"})
		return
	}
	c.Reached = xy
	c.Facts = append(c.Facts,
		chart.Fact{Label: "gives", Value: lightColour(light)},
		chart.Fact{Label: "error", Value: fmt.Sprintf("%.1f steps off", colour.Steps(xy, c.Target))},
		chart.Fact{Label: "level", Value: levelText(light.Y / maxY)},
	)
}

// levelText is a share of the most at a colour, in short.
func levelText(share float64) string {
	if stops := -math.Log2(share); stops >= 0.05 {
		return fmt.Sprintf("%.1f %%, %.1f stops below full", 100*share, stops)
	}
	return fmt.Sprintf("%.1f %%, full", 100*share)
}

func wattsOnChart(c *chart.Chromaticity, watts float64) *chart.Chromaticity {
	if watts > 0 {
		c.Facts = append(c.Facts, chart.Fact{Label: "power", Value: fmt.Sprintf("%.1f W", watts)})
	}
	return c
}

// titleOf is how a profile is called to people.
func titleOf(p *fixtures.Profile) string {
	if p.Title != "" {
		return p.Title
	}
	return p.Name
}

// qualityText is how a spectrum shows colours, in short.
func qualityText(q *fixtures.Quality) string {
	return fmt.Sprintf("%s, R9 %s, SSI %s [%s]", whole(q.CRI.Ra), whole(q.CRI.R[8]), whole(q.SSI), q.Reference)
}
