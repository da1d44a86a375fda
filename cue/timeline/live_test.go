package timeline

import (
	"math"
	"slices"
	"strings"
	"testing"

	"limn/cue"
	"limn/cue/motion"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/mix"

	"pgregory.net/rapid"
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
}

// Made quicker on its way, a fade goes on from where it is and arrives sooner, at
// the very same light; the next cue fades at that pace too, dark does not.
func TestPace(t *testing.T) {
	s := three(0)
	p := s.player()
	p.Next(0)
	p.Next(100) // 0.4 to 0.2 in 88 frames
	if got := lum(p, 122, fine); !near(got, 0.35) {
		t.Fatalf("a quarter of the way: %g", got)
	}
	says(t, p.Pace(122, 2), false, "")
	if p.Tempo() != 2 {
		t.Error("the pace is not told")
	}
	for f, want := range map[int64]float64{122: 0.35, 133: 0.30, 144: 0.25, 155: 0.2, 156: 0.2} {
		if got := lum(p, f, fine); math.Abs(got-want) > 1e-8 { // cut to a millionth of a frame
			t.Errorf("frame %d: %.12f, want %g", f, got, want)
		}
	}
	if got := lum(p, 155, fine); got != lights[1].Y {
		t.Errorf("it ends at %g", got)
	}
	if st, _ := pictureStatus(p, 133); math.Abs(st.Progress-0.5) > 1e-9 {
		t.Errorf("half way: progress %g", st.Progress)
	}
	p.Next(300)
	if got := lum(p, 344, fine); got != lights[3].Y {
		t.Errorf("the next cue is at %g after half its time", got)
	}
	p.Dark(400)
	if got := lum(p, 422, fine); !near(got, lights[3].Y/2) {
		t.Errorf("dark is at %g after half a second", got)
	}
	says(t, p.Pace(422, 0.5), false, "")
	if got := lum(p, 422+88, fine); got != 0 {
		t.Errorf("dark at a quarter of the pace ends at %g", got)
	}
	says(t, p.Pace(600, 100), true, "16 times")
	says(t, p.Pace(600, 0.5), true, "already")
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

// As it was sent, a cue gives the very slots of then, whatever the solver would
// make of the light today; raised, or trimmed, it is today's again.
func TestAsSent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := written[0]()
		sent := &Sent{Slots: map[int][fixtures.UniverseSize]byte{}}
		now := s.frames()
		state := &fixtures.State{Light: make([]colour.XYZ, len(s.shoot.Rig.Sources))}
		s.renderer.Render(state, now) // the slots that always hold a value
		for n, u := range s.renderer.Universes() {
			for i := range s.shoot.Rig.Sources {
				src := &s.shoot.Rig.Sources[i]
				if src.Universe != u || src.Hand {
					continue
				}
				for slot := range src.Profile.Footprint() {
					at := src.Addresses[0] - 1 + slot
					if u != 1 || at != fixedAt-1 {
						now[n][at] = byte(rapid.IntRange(0, 255).Draw(t, "slot"))
					}
				}
			}
			sent.Slots[u] = now[n]
		}
		p := s.player()
		p.Go(0, 1)
		p.Set(50, with(p, func(l *Layers) { l.Sent = map[int]*Sent{1: sent} }), Timing{Fade: 1})
		got, st := s.render(p, settleRapid(t, p, 50))
		if !slices.Equal(got, now) {
			t.Fatalf("the slots are not those that were sent")
		}
		if st.SettledAt > 50+Rate+sentHandOver+Rate {
			t.Fatalf("they are there only at frame %d", st.SettledAt)
		}
		p.Set(900, p.Layers().WithTrims(map[int]cue.Entry{sky: lit("20 %", "")}), Timing{Fade: 0.2})
		want := s.player()
		want.Go(0, 1)
		want.Set(0, want.Layers().WithTrims(map[int]cue.Entry{sky: lit("20 %", "")}), Timing{})
		today, _ := s.render(want, settleRapid(t, want, 0))
		got, _ = s.render(p, settleRapid(t, p, 900))
		if !slices.Equal(got[0][:4], today[0][:4]) || !slices.Equal(got[1][:], now[1][:]) {
			t.Fatal("a trim over it plays something else")
		}
	})
}

// Light follows the table, lands on its last azimuth by the still rule, and hands
// over by one code a frame; the table is told what the motion says.
func TestDrive(t *testing.T) {
	s := written[1]()
	p, k := called(t, s, 0)
	m := evenly{from: 0, speed: 20, end: 200}
	says(t, p.Drive(k, swaying, m, Timing{Fade: 1}), false, "fingers")
	row := p.NewState()
	for f := k; f < k+200; f++ {
		now, st := pictureOf(p, f)
		if want := around360(m.Azimuth(f - k)); now.Azimuth != want || now.Speed != 20 {
			t.Fatalf("frame %d: the table is told %g° at %g°/s, want %g°", f, now.Azimuth, now.Speed, want)
		}
		if st.Motion != cue.Fading {
			t.Fatalf("frame %d: %+v", f, st)
		}
		if f < k+44 {
			continue
		}
		swaying.At(now.Azimuth, row)
		if !slices.Equal(now.Light, row.Light) || !slices.Equal(now.Cells[strip], row.Cells[strip]) {
			t.Fatalf("frame %d: the light does not follow", f)
		}
		for i := range now.Offset { // what was landed on before is left, one code a frame
			if slices.ContainsFunc(now.Offset[i], func(c int) bool { return c != 0 }) && f > k+150 {
				t.Fatalf("frame %d: source %d is off the moving rule", f, i)
			}
		}
	}
	st, now := pictureStatus(p, k+200)
	if now.Speed != 0 || now.Azimuth != around360(m.Azimuth(200)) {
		t.Errorf("there, it is told %g° at %g°/s", now.Azimuth, now.Speed)
	}
	end := st.SettledAt
	got, _ := s.render(p, end)
	is(t, p, end, 0, cue.Settled)
	swaying.At(m.Azimuth(200), row)
	for i := range torch {
		var cells []colour.XYZ
		if len(row.Cells[i]) > 0 {
			cells = row.Cells[i]
		}
		want := s.landings.of(i, row.Light[i], cells)
		now, _ = pictureOf(p, end)
		if have := now.Offset[i]; want != nil && !slices.Equal(have, want) || now.Light[i] != row.Light[i] || !slices.Equal(now.Cells[i], row.Cells[i]) {
			t.Errorf("source %d lands at %v with %v, want %v with %v", i, now.Light[i], have, row.Light[i], want)
		}
	}
	// Masks hold over it; calling a cue ends it.
	p.Set(end, with(p, func(l *Layers) { l.Without = []int{sky} }), Timing{Fade: 1})
	p.Set(end+100, with(p, func(l *Layers) { l.Without = nil }), Timing{Fade: 1})
	again, _ := s.render(p, end+400)
	if !slices.Equal(got, again) {
		t.Error("taken out and put back, it gives other bytes")
	}
	p.Go(end+500, 0)
	now, _ = pictureOf(p, end+510)
	if now.Speed == 0 {
		t.Error("the table does not come back to the cue's angle")
	}

	says(t, p.Drive(end+520, swaying, evenly{100, 20, 10}, Timing{}), true, "the move begins at 100°")
	says(t, p.Drive(end+520, swaying, nil, Timing{}), true, "cannot come from outside")
	says(t, s.player().Drive(0, swaying, m, Timing{}), true, "no cue has been called")
	p.Dark(end + 530)
	says(t, p.Drive(end+531, swaying, m, Timing{}), true, "it is dark")
}

// A movement of package motion is followed to its last degree.
func TestDriveByMove(t *testing.T) {
	s := written[1]()
	p, k := called(t, s, 0)
	m := ByMove(motion.By(0, -33.3, motion.Limits{Speed: 10, Accel: 5}, false))
	if m.End() != 235 { // 4 s and 13.3° at 10°/s: 5.33 s
		t.Errorf("it ends at frame %d", m.End())
	}
	p.Drive(k, swaying, m, Timing{Fade: 1})
	for f, want := range map[int64]float64{0: 0, 44: -2.5, 88: -10, 235: -33.3, 999: -33.3} {
		if now, _ := pictureOf(p, k+f); math.Abs(cue.Turn(now.Azimuth, want)) > 1e-9 {
			t.Errorf("frame %d: %g°, want %g°", f, now.Azimuth, want)
		}
	}
	last, _ := pictureOf(p, k+235)
	row := p.NewState()
	swaying.At(-33.3, row)
	if d := farthest(last.Light[:torch], row.Light[:torch]); d > 1e-12 || last.Speed != 0 {
		t.Errorf("at its end the light is %g off, the speed %g", d, last.Speed)
	}
}

// Dark in a move stops it, and coming back does not turn the table by itself.
func TestDarkEndsAMove(t *testing.T) {
	s := written[1]()
	p, k := called(t, s, 0)
	p.Drive(k, swaying, evenly{0, 20, 400}, Timing{Fade: 1})
	says(t, p.Dark(k+88), false, "the move is over")
	at, _ := pictureOf(p, k+88)
	p.DarkOff(k + 300)
	p.Set(k+400, p.Layers().WithTrims(map[int]cue.Entry{sky: lit("20 %", "")}), Timing{})
	now, _ := pictureOf(p, k+900)
	if at.Azimuth != 40 || now.Azimuth != 40 || now.Speed != 0 {
		t.Errorf("stopped at %g°, it is told %g° at %g°/s", at.Azimuth, now.Azimuth, now.Speed)
	}
}

// An azimuth told from outside leads the light without steps; within the dead band
// it stays, and when nothing is heard it stands and says so.
func TestStreamedAzimuth(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 0)
	says(t, p.Azimuth(k, 10), true, "no light follows")
	p.Drive(k, swaying, nil, Timing{Fade: 0.5})
	for n := range int64(100) {
		says(t, p.Azimuth(k+4*n, float64(n)), false, "")
	}
	last := k + 4*99
	st, now := pictureStatus(p, last+4)
	if math.Abs(now.Azimuth-99) > 1e-9 || st.Stale || st.SettledAt >= 0 || st.Motion != cue.Fading {
		t.Errorf("led to %g°: %+v", now.Azimuth, st)
	}
	one := now.Light[sky]
	p.Azimuth(last+8, 99.04)
	if _, now = pictureStatus(p, last+20); now.Light[sky] != one {
		t.Error("the dead band moves the light")
	}
	st, _ = pictureStatus(p, last+8+StreamStale)
	stale, still := pictureStatus(p, last+8+StreamStale+1)
	if st.Stale || !stale.Stale || still.Light[sky] != one {
		t.Errorf("after half a second: %v, %v", st.Stale, stale.Stale)
	}
	p.Azimuth(last+100, 120)
	if _, now = pictureStatus(p, last+100); math.Abs(now.Azimuth-99) > 1e-9 {
		t.Errorf("heard again it jumps to %g°", now.Azimuth)
	}
	if _, now = pictureStatus(p, last+100+StreamStale); math.Abs(now.Azimuth-120) > 1e-9 {
		t.Errorf("half a second later it is at %g°", now.Azimuth)
	}
	says(t, p.Azimuth(last+100, math.NaN()), true, "no azimuth")
	p.Go(last+200, 0)
	if got := strings.Join(p.Prompts(), "; "); !strings.Contains(got, "from 120° to 0°") {
		t.Errorf("the cue then prompts %q", got)
	}
}

// fewer is a set's shoot read anew with changes.
func readAnew(t *testing.T, s *set, change func(*cue.Shoot)) (*cue.Shoot, *fixtures.Renderer) {
	t.Helper()
	shoot := *s.shoot
	r := *s.shoot.Rig
	r.Sources = slices.Clone(r.Sources)
	for i := range r.Sources {
		if p := r.Sources[i].Profile; p != nil {
			own := *p
			own.Emitters, own.Slots = slices.Clone(p.Emitters), slices.Clone(p.Slots)
			r.Sources[i].Profile = &own
		}
	}
	shoot.Rig = &r
	shoot.Cues, shoot.Looks = slices.Clone(shoot.Cues), slices.Clone(shoot.Looks)
	change(&shoot)
	renderer, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range shoot.Resolve(renderer) {
		if !f.Warning {
			t.Fatal(f)
		}
	}
	return &shoot, renderer
}

// A good change fades in on the running cue, its trims and looks kept; a shoot read
// anew without change moves nothing at all.
func TestReload(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 1)
	p.Set(k, p.Layers().WithTrims(map[int]cue.Entry{fine: lit("70 lx", "")}).WithLook(0, true), Timing{Fade: 1})
	k = settle(t, p, k)
	was, _ := s.render(p, k)

	same, r := readAnew(t, s, func(*cue.Shoot) {})
	q := p.Clone()
	says(t, q.Reload(k, same, r), false, "")
	for f := k; f < k+200; f++ {
		if now, st := s.render(q, f); !slices.Equal(now, was) || st.Motion != cue.Settled {
			t.Fatalf("frame %d: an unchanged shoot moves the light (%+v)", f, st)
		}
	}

	changed, r := readAnew(t, s, func(shoot *cue.Shoot) {
		shoot.Cues = append([]cue.Cue{{Name: "first"}}, shoot.Cues...)
		shoot.Cues[2].Light = map[int]cue.Entry{stroke: lit("60 %", "4300 K"), fine: lit("5 %", "")}
		shoot.Looks = append([]cue.Look{{Name: "new"}}, shoot.Looks...)
	})
	q = p.Clone()
	says(t, q.Reload(k, changed, r), false, "")
	before, _ := pictureOf(p, k)
	now, _ := pictureOf(q, k)
	if !slices.Equal(before.Light, now.Light) {
		t.Error("the light jumps")
	}
	l := q.Layers()
	if l.Cue != 2 || !slices.Equal(l.Looks, []int{1}) || len(l.Trims[2]) != 1 || len(q.Prompts()) > 0 {
		t.Errorf("layers are %+v, prompts %q", l, q.Prompts())
	}
	now, _ = pictureOf(q, k+44)
	want, _ := changed.Compose(r, 2, l.Over())
	if now.Light[stroke] != want.Light[stroke].Asked || want.Light[fine].Level != "70 lx" || now.Light[fine] != want.Light[fine].Asked {
		t.Errorf("a second later stroke is at %v, want %v", now.Light[stroke], want.Light[stroke].Asked)
	}
}

// A cue that is gone leaves its light, and stepping goes on from where it was.
func TestReloadWithoutThePresentCue(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 1)
	p.Set(k, p.Layers().WithTrims(map[int]cue.Entry{fine: lit("70 lx", "")}), Timing{})
	k = settle(t, p, k)
	was, _ := s.render(p, k)
	renamed, r := readAnew(t, s, func(shoot *cue.Shoot) { shoot.Cues[1].Name = "abeam" })
	says(t, p.Reload(k, renamed, r), false, `"beam" is no longer in the files`)
	for f := k; f < k+100; f += 9 {
		if now, st := s.render(p, f); !slices.Equal(now, was) || st.Cue != -1 {
			t.Fatalf("frame %d: the light moves (%+v)", f, st)
		}
	}
	if p.Scene() == nil || p.Scene().Name != "beam" {
		t.Errorf("the scene is %v", p.Scene())
	}
	// The level of the whole set works on it, and comes back.
	p.Set(k+100, with(p, func(l *Layers) { l.Whole = -1 }), Timing{})
	p.Set(k+200, with(p, func(l *Layers) { l.Whole = 0 }), Timing{})
	if now, _ := s.render(p, settle(t, p, k+200)); !slices.Equal(now, was) {
		t.Error("down and up again it gives other bytes")
	}
	again := p.Clone()
	same, r := readAnew(t, s, func(shoot *cue.Shoot) { shoot.Cues[1].Name = "abeam" })
	again.Reload(k+600, same, r)
	if now, _ := s.render(again, k+700); !slices.Equal(now, was) {
		t.Error("read anew once more it gives other bytes")
	}
	back := p.Clone()
	p.Next(k + 800)
	back.Back(k + 800)
	if p.Cue() != 2 || back.Cue() != 0 {
		t.Errorf("next is cue %d, back %d", p.Cue(), back.Cue())
	}
}

// A light calibrated otherwise starts from what its slots mean now: the slots do
// not jump, and it comes to the light it was asked.
func TestReloadOfAnotherMake(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 0)
	was, _ := s.render(p, k)
	changed, r := readAnew(t, s, func(shoot *cue.Shoot) {
		shoot.Rig.Sources[fine].Profile.Emitters[0].Flux *= 1.2
		shoot.Rig.Sources[horizon].Profile.Slots[0].Response = mix.Square()
		shoot.Rig.Sources = append(shoot.Rig.Sources, fixtures.Source{Name: "new", Hand: true})
	})
	p.Reload(k, changed, r)
	state, _ := pictureOf(p, k)
	frames := make([][fixtures.UniverseSize]byte, len(r.Universes()))
	r.Render(state, frames)
	if !slices.Equal(frames, was) {
		t.Error("the slots jump")
	}
	end := settle(t, p, k)
	state, _ = pictureOf(p, end)
	for _, i := range []int{fine, horizon} {
		if state.Light[i] != changed.Resolved[0].Light[i].Asked {
			t.Errorf("source %d comes to %v", i, state.Light[i])
		}
	}
}

// Held light stays held over a reload.
func TestReloadOnHold(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 0)
	p.Go(k, 1)
	p.Hold(k + 10)
	was, _ := pictureOf(p, k+10)
	same, r := readAnew(t, s, func(shoot *cue.Shoot) {
		shoot.Cues[1].Light = map[int]cue.Entry{stroke: lit("60 %", "4300 K")}
	})
	p.Reload(k+50, same, r)
	now, st := pictureOf(p, k+80)
	if st.Motion != cue.Held || !slices.Equal(was.Light, now.Light) {
		t.Errorf("%+v: the light is %v, held was %v", st, now.Light, was.Light)
	}
}
