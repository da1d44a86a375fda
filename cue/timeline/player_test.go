package timeline

import (
	"math"
	"slices"
	"strings"
	"testing"

	"limn/cue"
	"limn/cue/fade"
	"limn/fixtures/colour"
)

// three is a set of three plain cues: bright, half, dim; two seconds each.
func three(motor int) *set {
	s := sets[motor]()
	return s.with(s.plain(lights[0], 2), s.plain(lights[1], 2), s.plain(lights[3], 2))
}

// says checks the answer to a command.
func says(t *testing.T, got []Notice, refused bool, want string) {
	t.Helper()
	if want == "" {
		if len(got) > 0 {
			t.Errorf("says %v, want nothing", got)
		}
		return
	}
	for _, n := range got {
		if n.Refused == refused && strings.Contains(n.Text, want) {
			return
		}
	}
	t.Errorf("says %v, want %q (refused %v)", got, want, refused)
}

// is checks what the light is doing at frame k.
func is(t *testing.T, p *Player, k int64, cueIndex int, motion cue.Motion) Status {
	t.Helper()
	st := p.At(k, p.NewState())
	if st.Cue != cueIndex || st.Motion != motion {
		t.Errorf("frame %d: cue %d, %s; want cue %d, %s", k, st.Cue, st.Motion, cueIndex, motion)
	}
	return st
}

func lum(p *Player, k int64, source int) float64 {
	s := p.NewState()
	p.At(k, s)
	return s.Light[source].Y
}

func TestNothingBeforeTheFirstCommand(t *testing.T) {
	p := three(0).player()
	if st := is(t, p, 100, noCue, cue.Dark); st.Live {
		t.Error("live before the first command")
	}
	says(t, p.Back(1), true, "next calls the first")
	says(t, p.Hold(1), true, "nothing is moving")
	says(t, p.Resume(1), true, "nothing is held")
	says(t, p.Confirm(1), true, "nothing to confirm")
	says(t, p.DarkOff(1), true, "not dark")
	if st := p.At(200, p.NewState()); st.Live {
		t.Error("a refused command makes it live")
	}
}

func TestNextAndBackStayAtTheEnds(t *testing.T) {
	p := three(0).player()
	says(t, p.Next(0), false, "")
	is(t, p, 0, 0, cue.Fading)
	says(t, p.Back(1), true, `"cue 1" is the first cue; it stays`)
	p.Next(10)
	p.Next(20)
	st := is(t, p, 20, 2, cue.Fading)
	says(t, p.Next(30), true, `"cue 3" is the last cue; it stays`)
	if now := is(t, p, 20, 2, cue.Fading); now != st {
		t.Error("a refused next changes something")
	}
	says(t, p.Dark(200), false, "")
	says(t, p.Next(300), true, "dark off brings it back")
	says(t, p.Back(300), false, "")
	is(t, p, 300, 1, cue.Fading)
}

func TestAShootWithoutCues(t *testing.T) {
	p := sets[0]().with().player()
	says(t, p.Next(0), true, "no cues")
	says(t, p.Dark(0), false, "")
	is(t, p, 200, noCue, cue.Dark)
	says(t, p.DarkOff(300), true, "no cue has been called")
}

// A two-second fade from frame 10 passes half at 54 and arrives at 98.
func TestAFadeKeepsItsTime(t *testing.T) {
	p := three(0).player()
	p.Next(10)
	for k, want := range map[int64]float64{0: 0, 10: 0, 54: 0.2, 97: 0.4 * 87 / 88, 98: 0.4, 500: 0.4} {
		if got := lum(p, k, fine); math.Abs(got-want) > 1e-15 {
			t.Errorf("frame %d: Y %g, want %g", k, got, want)
		}
	}
	st := p.At(54, p.NewState())
	if st.Progress != 0.5 {
		t.Errorf("half way the progress is %g", st.Progress)
	}
	// bulb: no smoothing of its own; horizon 0.3 s: 14 frames after its landing.
	if st.SettledAt < 98+14 || st.SettledAt != st.QuietAt {
		t.Errorf("settles at %d, quiet at %d; want 112 or later", st.SettledAt, st.QuietAt)
	}
	is(t, p, st.SettledAt-1, 0, cue.Fading)
	is(t, p, st.SettledAt, 0, cue.Settled)
}

func TestDelayKeepsTheLight(t *testing.T) {
	s := sets[0]()
	late := s.plain(lights[1], 1)
	late.Light[fine].Delay = 0.5
	p := s.with(s.plain(lights[0], 0), late).player()
	p.Next(0)
	p.Next(100)
	for k, want := range map[int64]float64{100: 0.4, 122: 0.4, 144: 0.3, 166: 0.2} {
		if got := lum(p, k, fine); math.Abs(got-want) > 1e-15 {
			t.Errorf("frame %d: Y %g, want %g", k, got, want)
		}
	}
	if got := lum(p, 144, sky); got != 0.2 {
		t.Errorf("without the delay Y is %g by then, want 0.2", got)
	}
}

func TestACutWaitsForItsDelay(t *testing.T) {
	s := sets[0]()
	cut := s.plain(lights[1], 0)
	cut.Light[sky].Delay = 0.51 // 22.44 frames
	s = s.with(s.plain(lights[0], 0), cut)
	p := s.player()
	p.Next(0)
	p.Next(100)
	for k, want := range map[int64]float64{100: 0.4, 122: 0.4, 123: 0.2} {
		if got := lum(p, k, sky); got != want {
			t.Errorf("frame %d: Y %g, want %g", k, got, want)
		}
	}
	// The full landing at once, both times.
	for _, k := range []int64{0, 122, 123} {
		state := p.NewState()
		p.At(max(k, 100), state)
		if want := s.landings.of(sky, state.Light[sky], nil); want != nil && !slices.Equal(state.Offset[sky], want) {
			t.Errorf("frame %d: offsets %v, want the full landing %v", k, state.Offset[sky], want)
		}
	}
}

func TestHoldFreezesAndResumeGoesOn(t *testing.T) {
	p := three(0).player()
	p.Next(0)
	says(t, p.Hold(44), false, "")
	st := is(t, p, 44, 0, cue.Held)
	if st.SettledAt != -1 || st.QuietAt != 44 {
		t.Errorf("on hold: %+v", st)
	}
	is(t, p, 5000, 0, cue.Held)
	if got := lum(p, 5000, fine); got != 0.2 {
		t.Errorf("on hold Y is %g, want 0.2", got)
	}
	says(t, p.Hold(5000), true, "held already")
	says(t, p.Resume(10044), false, "")
	if got := lum(p, 10044, fine); got != 0.2 {
		t.Errorf("resuming jumps to %g", got)
	}
	if got := lum(p, 10066, fine); math.Abs(got-0.3) > 1e-15 {
		t.Errorf("half a second later Y is %g, want 0.3", got)
	}
	says(t, p.Resume(10070), true, "nothing is held")
	st = is(t, p, 20000, 0, cue.Settled)
	says(t, p.Hold(20000), true, "nothing is moving")
	is(t, p, 20000, 0, cue.Settled)
}

func TestNextReleasesAHold(t *testing.T) {
	p := three(0).player()
	p.Next(0)
	p.Hold(22)
	says(t, p.Next(1000), false, "hold is released")
	is(t, p, 1000, 1, cue.Fading)
	if got := lum(p, 1000, fine); got != 0.1 {
		t.Errorf("next on hold jumps to %g", got)
	}
	p.Hold(1010)
	says(t, p.Dark(2000), false, "hold is released")
	is(t, p, 2000, 1, cue.Fading)
}

func TestDarkRemembersTheCue(t *testing.T) {
	s := three(0)
	p := s.player()
	p.Next(0)
	before, _ := s.render(p, 400)
	says(t, p.Dark(500), false, "")
	is(t, p, 500, 0, cue.Fading)
	if got := lum(p, 522, fine); math.Abs(got-0.2) > 1e-15 {
		t.Errorf("half a second into dark Y is %g, want 0.2", got)
	}
	frames, st := s.render(p, 600)
	if st.Motion != cue.Dark || st.Cue != 0 {
		t.Errorf("after a second: %+v", st)
	}
	for u := range frames {
		for at, v := range frames[u] {
			if v != 0 && !(u == 0 && at == fixedAt-1) && !(u == 0 && at >= 30 && at < 32) {
				t.Errorf("slot %d holds %d in the dark", at+1, v)
			}
		}
	}
	says(t, p.Dark(600), true, "dark already")
	says(t, p.Hold(600), true, "nothing is moving")
	says(t, p.DarkOff(700), false, "")
	after, st := s.render(p, 1000)
	if st.Motion != cue.Settled || !slices.Equal(before, after) {
		t.Error("dark off does not bring back the same bytes")
	}
}

func TestDarkCanGoOnFromAHold(t *testing.T) {
	p := three(0).player()
	p.Next(0)
	p.Dark(200)
	p.Hold(210)
	says(t, p.Dark(300), false, "hold is released")
	is(t, p, 400, 0, cue.Dark)
}

// A second go to a settled cue changes no byte at any time.
func TestGoAgainIsHarmless(t *testing.T) {
	s := three(0)
	p := s.player()
	p.Go(0, 1)
	k := settle(t, p, 0)
	want, _ := s.render(p, k)
	p.Go(k+10, 1)
	for n := range int64(200) {
		if got, _ := s.render(p, k+10+n); !slices.Equal(got, want) {
			t.Fatalf("%d frames after the second go the bytes differ", n)
		}
	}
}

// A source that two cues light alike keeps its codes from one to the other, its
// landing included.
func TestAnUnchangedSourceStaysToTheLastCode(t *testing.T) {
	s := sets[0]()
	other := s.plain(lights[3], 1)
	other.Light[sky] = light(lights[2], 1)
	first := s.plain(lights[2], 1)
	s = s.with(first, other)
	row := s.landings.of(sky, lights[2], nil)
	if row == nil {
		t.Skip("this light lands where it moves: choose another")
	}
	p := s.player()
	p.Next(0)
	k := settle(t, p, 0)
	p.Next(k)
	state := p.NewState()
	for n := range int64(200) {
		p.At(k+n, state)
		if !slices.Equal(state.Offset[sky], row) || state.Light[sky] != lights[2] {
			t.Fatalf("frame %d: offsets %v, want %v", k+n, state.Offset[sky], row)
		}
	}
}

// Prepare has done all the slow work of a command: the renderer is not needed.
func TestPrepareIsEnough(t *testing.T) {
	s := three(0)
	s.shoot.Resolved[1] = s.along(0, lights[1], 2)
	p := s.player()
	p.landings = newLandings(s.renderer)
	for i := range s.shoot.Resolved {
		p.Prepare(i)
	}
	p.landings.renderer = nil
	p.Next(0)
	p.Dark(50)
	p.DarkOff(100)
	p.Go(150, 2)
	p.Back(200)
}

func TestPrepareFromManyGoroutines(t *testing.T) {
	s := three(0)
	p := s.player()
	p.landings = newLandings(s.renderer)
	done := make(chan struct{})
	for range 4 {
		go func() {
			defer func() { done <- struct{}{} }()
			for i := range s.shoot.Resolved {
				p.Prepare(i)
				p.At(0, p.NewState())
			}
		}()
	}
	for range 4 {
		<-done
	}
	if got, want := p.landings.of(sky, lights[2], nil), s.landings.of(sky, lights[2], nil); !slices.Equal(got, want) {
		t.Errorf("landings %v, want %v", got, want)
	}
}

// A source never lit is reported in the camera's white; one switched off in the
// last colour it had, its glow included.
func TestChromaticityWithoutLight(t *testing.T) {
	s := sets[0]()
	lit, off := s.plain(kelvin(3200, 0.3), 1), s.plain(colour.XYZ{}, 1)
	off.Light[sky].Path = fade.Glow
	p := s.with(lit, off).player()
	xy := make([]colour.XY, len(s.shoot.Rig.Sources))
	near := func(k int64, source int, want colour.XY) {
		t.Helper()
		p.Chromaticity(k, xy)
		if d := xy[source].UV().Distance(want.UV()); d > 1e-9 {
			t.Errorf("frame %d: source %d is reported Δu'v' %g off", k, source, d)
		}
	}
	near(0, sky, studioWhite.XY())
	p.Next(10)
	near(10, sky, studioWhite.XY())
	near(11, sky, colour.White{Kelvin: 3200}.XY())
	p.Next(100)
	p.Chromaticity(143, xy)
	last := xy[sky]
	near(144, sky, last)
	near(9999, sky, last)
	if w, _ := last.White(); w.Kelvin > 2400 {
		t.Errorf("its glow went out at %.0f K", w.Kelvin)
	}
	near(9999, fine, colour.White{Kelvin: 3200}.XY())
	near(9999, torch, studioWhite.XY())
}
