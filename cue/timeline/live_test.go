package timeline

import (
	"math"
	"slices"
	"strings"
	"testing"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// called is a player of a written set on a cue, settled at the frame it returns.
func called(t testing.TB, s *set, cueIndex int) (*Player, int64) {
	t.Helper()
	p := s.player()
	p.Go(0, cueIndex)
	return p, settle(t, p, 0)
}

// with changes one thing of a player's layers.
func with(p *Player, change func(l *Layers)) Layers {
	l := p.Layers()
	change(&l)
	return l
}

func mustXY(t testing.TB, c colour.XYZ) colour.XY {
	t.Helper()
	xy, ok := c.XY()
	if !ok {
		t.Fatal("no light")
	}
	return xy
}

// near compares lights that went through a handful of products.
func near(a, b float64) bool { return math.Abs(a-b) <= 1e-12*max(1, math.Abs(a), math.Abs(b)) }

// A look or a trim that lights a lamp without control calls for hands; the light
// of an angle that no cue has calls for the turn.
func TestHandsForLayers(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 0)
	p.Set(k, p.Layers().WithLook(1, true), Timing{Fade: 1})
	if got := strings.Join(p.Prompts(), "; "); !strings.Contains(got, "set torch to 40 lx") {
		t.Errorf("the look prompts %q", got)
	}
	is(t, p, k+100, 0, cue.Waiting)
	p.Set(k+100, p.Layers().WithLook(1, false), Timing{Fade: 1})
	if len(p.Prompts()) > 0 {
		t.Errorf("taken off again it prompts %q", p.Prompts())
	}
	p.Set(k+200, p.Layers().WithTrims(map[int]cue.Entry{torch: lit("20 lx", "2700 K")}), Timing{Fade: 1})
	if got := strings.Join(p.Prompts(), "; "); !strings.Contains(got, "set torch to 20 lx, 2700 K") {
		t.Errorf("the trim prompts %q", got)
	}
	p.Confirm(k + 300)
	p.Set(k+400, with(p, func(l *Layers) { l.Here = &Here{Azimuth: 110} }), Timing{Fade: 1})
	got := strings.Join(p.Prompts(), "; ")
	if !strings.Contains(got, "turn the model from 0° to 110°") || !strings.Contains(got, "switch off torch") {
		t.Errorf("started at 110° it prompts %q", got)
	}
	if sc := p.Scene(); sc.Azimuth != 110 || sc.Angle != "" || sc.Light[sky].Asked != s.shoot.Resolved[0].Light[sky].Asked {
		t.Errorf("the scene there is %v", sc)
	}
	p.Confirm(k + 500)
	p.Set(k+500, p.Layers().WithTrims(map[int]cue.Entry{sky: lit("10 %", "")}), Timing{})
	if l := p.Layers(); len(l.Trims[0]) != 1 || len(l.Here.Trims) != 1 || p.Scene().Light[sky].Level != "10 %" {
		t.Errorf("a trim there goes to %+v", l)
	}
	says(t, p.Next(k+600), false, "at 110° was not kept")
	if got := strings.Join(p.Prompts(), "; "); !strings.Contains(got, "from 110° to 10°") {
		t.Errorf("from there the next cue prompts %q", got)
	}
}

// Where the shoot wants it, the next cue waits in work light for hands.
func TestNextByWorkLight(t *testing.T) {
	s := *written[0]()
	shoot := *s.shoot
	shoot.Work = cue.Work{WithNext: true, Light: map[int]cue.Entry{fine: lit("25 %", "")}}
	s.shoot = &shoot
	p := s.player()
	p.Next(0)
	is(t, p, 200, 0, cue.Waiting)
	now, _ := pictureOf(p, 200)
	if now.Light[sky].Y != 0 || !near(now.Light[fine].Y, 0.25*s.renderer.Reach(fine, studioWhite.XY()).MaxY) {
		t.Errorf("waiting, the light is %v", now.Light)
	}
	p.Confirm(300)
	now, _ = pictureOf(p, 300)
	if now.Light[sky].Y != 0 {
		t.Error("the cue comes with a jump")
	}
	is(t, p, settle(t, p, 300), 0, cue.Settled)
	now, _ = pictureOf(p, 500)
	if now.Light[sky].Y != shoot.Resolved[0].Light[sky].Asked.Y {
		t.Errorf("confirmed, sky is at %g", now.Light[sky].Y)
	}
	p.Next(600)
	p.Set(700, with(p, func(l *Layers) { l.Work = false }), Timing{Fade: 1})
	p.Confirm(800)
	is(t, p, settle(t, p, 800), 1, cue.Settled)

	// A trim given while it waits comes in with the cue.
	p.Back(2000)
	p.Set(2100, p.Layers().WithTrims(map[int]cue.Entry{sky: lit("10 %", "")}), Timing{Fade: TrimFade})
	is(t, p, 2300, 0, cue.Waiting)
	if now, _ := pictureOf(p, 2300); now.Light[sky].Y != 0 {
		t.Errorf("waiting with a trim, sky is at %g", now.Light[sky].Y)
	}
	p.Confirm(2400)
	is(t, p, settle(t, p, 2400), 0, cue.Settled)
	if now, _ := pictureOf(p, 4000); now.Light[sky].Y != p.Scene().Light[sky].Asked.Y || p.Layers().Work {
		t.Errorf("confirmed with a trim, sky is at %g, want %g", now.Light[sky].Y, p.Scene().Light[sky].Asked.Y)
	}
}

func pictureStatus(p *Player, k int64) (Status, *fixtures.State) {
	s, st := pictureOf(p, k)
	return st, s
}

// A trim in the middle of a long fade is there at once; the rest of the fade goes on
// in its own time.
func TestATrimLeavesTheFadeAlone(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 0)
	p.Go(k, 2) // in two seconds
	p.Confirm(k)
	plain := p.Clone()
	p.Set(k+22, p.Layers().WithTrims(map[int]cue.Entry{bulb: lit("5 %", "")}), Timing{Fade: TrimFade})
	for f := k + 22; f < k+200; f++ {
		a, st := pictureOf(plain, f)
		b, stToo := pictureOf(p, f)
		for i := range torch {
			if i != bulb && (a.Light[i] != b.Light[i] || !slices.Equal(a.Offset[i], b.Offset[i])) {
				t.Fatalf("frame %d: a trim of the bulb moves source %d", f, i)
			}
		}
		if math.Abs(st.Progress-stToo.Progress) > 1e-12 {
			t.Fatalf("frame %d: progress %g, without the trim %g", f, stToo.Progress, st.Progress)
		}
		if trimmed := b.Light[bulb].Y; f >= k+22+9 && !near(trimmed, 0.05*s.renderer.Reach(bulb, studioWhite.XY()).MaxY) {
			t.Fatalf("frame %d: the bulb is at %g", f, trimmed)
		}
	}
	// Dark does not wait for it.
	p.Go(k+300, 0)
	p.Dark(k + 310)
	if now, _ := pictureOf(p, k+354); slices.ContainsFunc(now.Light, func(c colour.XYZ) bool { return c.Y > 0 }) {
		t.Error("a second after dark there is light")
	}
}
