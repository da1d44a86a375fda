package timeline

import (
	"math"
	"testing"

	"limn/cue"
)

// Aimed, a source is by itself, no brighter than the eye bears, in the colour it
// has in the cue; the level of the whole set does not count.
func TestAim(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 0)
	for _, c := range []struct {
		source int
		whole  float64
	}{{sky, 0}, {sky, 3}, {bulb, 0}, {strip, 0}} {
		says(t, p.Set(k, with(p, func(l *Layers) { l.Aim, l.Whole = c.source, c.whole }), Timing{}), false, map[bool]string{true: "not into the light"}[c.whole == 0])
		now, _ := pictureOf(p, k)
		for i := range now.Light {
			if lit := now.Light[i].Y > 0; lit != (i == c.source) {
				t.Errorf("aim %d: source %d is lit: %v", c.source, i, lit)
			}
		}
		full := s.shoot.Rig.Sources[c.source].Full
		if y := now.Light[c.source].Y; full*y > AimLux*(1+1e-12) || y > AimShare {
			t.Errorf("aim %d: Y %g, %g lx", c.source, y, full*y)
		}
	}
}

// The whole set moves in stops, colour held, as far as each source gives.
func TestWhole(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 1) // with a ramp
	had, _ := pictureOf(p, k)
	says(t, p.Set(k, with(p, func(l *Layers) { l.Whole = -1.5 }), Timing{}), false, "")
	now, _ := pictureOf(p, k)
	for i := range torch {
		a, b := cellsOf(had, p.layouts[i], i), cellsOf(now, p.layouts[i], i)
		for j := range a {
			if !near(b[j].Y, a[j].Y*math.Exp2(-1.5)) || !near(b[j].X, a[j].X*math.Exp2(-1.5)) {
				t.Errorf("cell %d of source %d: %v from %v", j, i, b[j], a[j])
			}
		}
	}
	says(t, p.Set(k, with(p, func(l *Layers) { l.Whole = 2 }), Timing{}), false, `"sky"`)
	now, _ = pictureOf(p, k)
	most := s.renderer.Reach(sky, mustXY(t, had.Light[sky])).MaxY
	if !near(now.Light[sky].Y, most) {
		t.Errorf("two stops up sky is at %g, its most is %g", now.Light[sky].Y, most)
	}
	says(t, p.Set(k, with(p, func(l *Layers) { l.Whole = 13 }), Timing{}), true, "12 stops at most")
	says(t, p.Set(k, with(p, func(l *Layers) { l.Whole = math.NaN() }), Timing{}), true, "stops at most")
}

// Masks do not reach what is set by hand, and say so.
func TestMasksAndHands(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 0)
	p.Set(k, p.Layers().WithTrims(map[int]cue.Entry{torch: lit("20 lx", "2700 K")}), Timing{})
	p.Confirm(k)
	const stays = `"torch" is set by hand: it stays`
	for _, change := range []func(l *Layers){
		func(l *Layers) { l.Whole = -1 }, func(l *Layers) { l.Alone = sky }, func(l *Layers) { *l = l.WithSource(torch, false) },
		func(l *Layers) { l.Aim = sky }, func(l *Layers) { l.Work = true },
	} {
		q := p.Clone()
		says(t, q.Set(k, with(q, change), Timing{}), false, stays)
	}
	says(t, p.Set(k, with(p, func(l *Layers) { l.Alone = torch }), Timing{}), false, "")
}

// Masks scale strips as they scale plain lights, and no mask moves a table.
func TestMasks(t *testing.T) {
	s := written[1]()
	p, k := called(t, s, 1)
	table0, _ := pictureOf(p, k)
	for name, change := range map[string]func(l *Layers){
		"alone":    func(l *Layers) { l.Alone = strip },
		"without":  func(l *Layers) { *l = l.WithSource(strip, false) },
		"whole":    func(l *Layers) { l.Whole = -2 },
		"aim":      func(l *Layers) { l.Aim = strip },
		"identify": func(l *Layers) { l.Identify = strip },
		"work":     func(l *Layers) { l.Work = true },
		"look":     func(l *Layers) { *l = l.WithLook(0, true) },
		"dark":     func(l *Layers) { l.Dark = true },
	} {
		q := p.Clone()
		q.Set(k, with(q, change), Timing{Fade: 1})
		now, _ := pictureOf(q, k+300)
		lit := now.Light[strip].Y > 0
		if want := name != "without" && name != "work" && name != "dark"; lit != want {
			t.Errorf("%s: the strip is lit: %v", name, lit)
		}
		if now.Azimuth != table0.Azimuth || now.Speed != 0 {
			t.Errorf("%s: the table goes to %g° at %g°/s", name, now.Azimuth, now.Speed)
		}
		if name == "alone" && (now.Light[sky].Y > 0 || len(now.Cells[strip]) != 5) {
			t.Errorf("alone: %v", now.Light)
		}
	}
	// On its way it goes on its way.
	p.Go(k, 2)
	p.Confirm(k)
	for name, change := range map[string]func(l *Layers){
		"alone": func(l *Layers) { l.Alone = strip }, "whole": func(l *Layers) { l.Whole = 1 }, "look": func(l *Layers) { *l = l.WithLook(0, true) },
		"trim": func(l *Layers) { *l = l.WithTrims(map[int]cue.Entry{sky: lit("20 %", "")}) },
	} {
		q := p.Clone()
		q.Set(k+30, with(q, change), Timing{Fade: 1})
		for f := k + 30; f < k+200; f += 7 {
			a, _ := pictureOf(p, f)
			b, _ := pictureOf(q, f)
			if a.Azimuth != b.Azimuth || a.Speed != b.Speed {
				t.Errorf("%s, frame %d: the table is told %g°, was on its way at %g°", name, f, b.Azimuth, a.Azimuth)
			}
		}
	}
}
