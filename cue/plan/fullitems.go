package plan

import (
	"fmt"
	"math"

	"limn/cue/camera"
)

// slender is how many times longer than wide a source is that is called a strip.
const slender = 4.0

// classOf names what kind of light gives that, by its sides in m and flux in lumens.
func classOf(w, h, flux, head float64, hangs bool) string {
	area := w * h
	what := "a small hard light"
	switch {
	case area > 0 && max(w, h) >= slender*min(w, h):
		what = "a strip"
	case area >= 12:
		what = "a large cloth or box on a truss"
	case area >= 2:
		what = "a cloth or box on a frame"
	case area >= 0.25:
		what = "a large panel"
	case area >= 0.02:
		what = "a panel"
	}
	if hangs && area >= 2 {
		what += ", overhead"
	}
	switch n := math.Ceil(flux / head); {
	case math.IsNaN(flux):
	case n <= 1:
		what += ", one head"
	default:
		what += fmt.Sprintf(", %.0f heads of %s", n, Lumens(head))
	}
	return what
}

// sources lists each source at its brightest.
func (e *enlarger) sources() {
	for j := range e.shoot.Rig.Sources {
		src := &e.shoot.Rig.Sources[j]
		if !src.Hand && src.Profile != nil && !src.Profile.HasLight() || e.most[j] == (known{}) {
			continue
		}
		w, h, d := src.Width.Metres, src.Height.Metres, src.Place.Distance.Metres
		needs := needSize(src.Name)
		item := FullItem{Kind: "source", Name: src.Name, Hangs: src.Place.Elevation.Degrees >= Overhead}
		item.Class = classOf(w*e.scale, h*e.scale, e.flux[j].value, e.opt.Head, item.Hangs)
		subtense := law{"2·atan(width/2/distance)", "similar figures: as on the model", ""}
		sub := subtense.absent("subtense", "width as the subject sees it", "°", needs)
		if w > 0 && d > 0 {
			sub = subtense.figure("subtense", sub.Title, "°", camera.FullSizeSource(e.scale, w, h, d, 0, 0, 1, 1).Subtense).as(unit(2, "°"))
		}
		item.Figures = []Figure{
			e.times("width", "width", w, needs), e.times("height", "height", h, needs), e.times("distance", "from the aim point", d, needPlace(src.Name)), sub,
			given(lawSameLux, "lux", "at the aim point, at its brightest", "lx", e.most[j]).as(Lux),
			given(lawSameLux, "luminance", "luminance of its face", "cd/m²", e.lum[j]).as(unit(2, "cd/m²")),
			given(lawFlux, "flux", "flux of its lamps", "lm", e.flux[j]).as(Lumens),
			given(lawWatt, "watts", "power", "W", known{e.flux[j].value / e.opt.Efficacy, e.flux[j].missing}).as(Watts),
		}
		if src.Place.Known {
			top := e.scale * (at(&src.Place, 0).Z + e.shoot.Subject.Height.Metres/2)
			item.Figures = append(item.Figures, lawLength.figure("above", "its middle above the ground", "m", top).as(Far))
		}
		e.out.Sources = append(e.out.Sources, item)
	}
}

// given is a figure of a value that was reckoned before.
func given(l law, key, title, unitName string, k known) Figure {
	if k.missing != "" {
		return l.absent(key, title, unitName, k.missing)
	}
	return l.figure(key, title, unitName, k.value)
}

// cards lists each card.
func (e *enlarger) cards() {
	for i := range e.shoot.Cards {
		c := &e.shoot.Cards[i]
		item := FullItem{Kind: "card", Name: c.Name, Class: c.Kind, Figures: []Figure{
			e.times("width", "width", c.Width.Metres, needSize(c.Name)), e.times("height", "height", c.Height.Metres, needSize(c.Name)),
		}}
		for _, p := range e.standing {
			if p.Card == i {
				item.Figures = append(item.Figures, e.times("distance", "from the aim point", p.Place.Distance.Metres, ""))
				break
			}
		}
		e.out.Cards = append(e.out.Cards, item)
	}
}
