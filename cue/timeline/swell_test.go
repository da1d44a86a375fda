package timeline

import (
	"math"
	"slices"
	"testing"

	"limn/cue"
)

// A source that is identified swells about the level it had, the rest stand a stop
// lower; no faster than one swell in two seconds, which is far below three flashes a
// second; and it comes and goes without a jump.
func TestIdentify(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 0)
	had, _ := pictureOf(p, k)
	p.Set(k, with(p, func(l *Layers) { l.Identify = sky }), Timing{Fade: 1})
	var low, high float64 = 2, 0
	turns, rising := 0, true
	was := had
	for f := k; f < k+20*Rate; f++ {
		now, st := pictureOf(p, f)
		if st.SettledAt >= 0 || st.Motion != cue.Fading {
			t.Fatalf("frame %d: %+v while it swells", f, st)
		}
		if d := math.Abs(math.Log2(now.Light[sky].Y / was.Light[sky].Y)); d > 0.06 { // 2π·0.75 stops in 88 frames is 0.054
			t.Fatalf("frame %d: it steps by %g stops", f, d)
		}
		if f > k+Rate {
			y := now.Light[sky].Y
			low, high = min(low, y), max(high, y)
			if up := y > was.Light[sky].Y; up != rising && y != was.Light[sky].Y {
				turns, rising = turns+1, up
			}
			if r := now.Light[fine].Y / had.Light[fine].Y; math.Abs(r-0.5) > 1e-12 {
				t.Fatalf("frame %d: the rest stand at %g of what they had", f, r)
			}
		}
		a, _ := now.Light[sky].XY()
		b, _ := had.Light[sky].XY()
		if a.UV().Distance(b.UV()) > 1e-12 {
			t.Fatalf("frame %d: its colour moves", f)
		}
		was = now
	}
	y := had.Light[sky].Y
	if !near(high, y*math.Exp2(swellStops)) || !near(low, y*math.Exp2(-swellStops)) {
		t.Errorf("about %g it swells from %g to %g", y, low, high)
	}
	if turns < 18 || turns > 20 { // one swell is two turns: 19 s of them
		t.Errorf("%d turns in 19 s", turns)
	}
	end := k + 20*Rate
	before, _ := pictureOf(p, end)
	p.Set(end, with(p, func(l *Layers) { l.Identify = -1 }), Timing{Fade: 1})
	after, _ := pictureOf(p, end)
	if !slices.Equal(before.Light, after.Light) {
		t.Error("it ends with a jump")
	}
	got, st := s.render(p, settle(t, p, end))
	want, _ := s.render(p.Clone(), st.SettledAt)
	direct, d := called(t, s, 0)
	wantDirect, _ := s.render(direct, d)
	if !slices.Equal(got, want) || !slices.Equal(got, wantDirect) {
		t.Error("once it is over the cue gives other bytes")
	}
	q := p.Clone()
	q.Set(end, with(q, func(l *Layers) { l.Identify = sky }), Timing{Fade: 1})
	says(t, q.Hold(end+400), false, "")
	held, _ := pictureOf(q, end+400)
	if later, _ := pictureOf(q, end+431); !slices.Equal(held.Light, later.Light) {
		t.Error("held, it swells on")
	}
	q.Dark(end + 500)
	if st := is(t, q, end+600, 0, cue.Dark); st.SettledAt < 0 {
		t.Errorf("in the dark it swells: %+v", st)
	}
	says(t, p.Set(end, with(p, func(l *Layers) { l.Identify = torch }), Timing{}), true, "set by hand")

	// One that is off swells from a low level, one at its most from below it.
	p.Set(end, with(p, func(l *Layers) { l.Identify = bulb }), Timing{Fade: 1})
	now, _ := pictureOf(p, end+2*swellFrames)
	if y := now.Light[bulb].Y; !(y > 0 && y <= AimShare*math.Exp2(swellStops)) {
		t.Errorf("off, it swells at %g", y)
	}
	p.Go(end+500, 2) // sky at 90 %
	p.Set(end+900, with(p, func(l *Layers) { l.Identify = sky }), Timing{Fade: 1})
	most := s.renderer.Reach(sky, mustXY(t, p.Scene().Light[sky].Asked)).MaxY
	for f := end + 1000; f < end+1200; f++ {
		if now, _ := pictureOf(p, f); now.Light[sky].Y > most*(1+1e-12) {
			t.Fatalf("it swells to %g, its most is %g", now.Light[sky].Y, most)
		}
	}
}
