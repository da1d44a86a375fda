package timeline

import (
	"math"
	"strings"
	"testing"

	"limn/cue"
	"limn/fixtures"
)

func TestHandsArePrompted(t *testing.T) {
	s := sets[0]()
	bow, beam := s.plain(lights[0], 1), s.plain(lights[1], 1)
	bow.HasAngle, bow.Azimuth = true, 35
	beam.HasAngle, beam.Azimuth = true, 80
	beam.Cards = []cue.CardPlace{{Place: fixtures.Place{Known: true}, Mark: "tape C"}}
	beam.Light[torch] = light(kelvin(3200, 0.5), 1)
	p := s.with(bow, beam).player()

	p.Next(0)
	st := is(t, p, 0, 0, cue.Waiting)
	if st.SettledAt != -1 || st.QuietAt < 44 {
		t.Errorf("waiting: %+v", st)
	}
	if len(p.Prompts()) != 1 || !strings.Contains(p.Prompts()[0], "35°") {
		t.Errorf("the first cue prompts %q", p.Prompts())
	}
	is(t, p, 5000, 0, cue.Waiting)
	if got := lum(p, 44, fine); got != 0.4 {
		t.Errorf("the light waits for hands: Y %g", got)
	}
	says(t, p.Confirm(5000), false, "")
	is(t, p, 5000, 0, cue.Settled)
	if a := p.NewState(); p.At(5000, a).Live && a.Azimuth != 35 {
		t.Errorf("the table stands at %g", a.Azimuth)
	}

	// Without a confirm in between, hands still come from where the set stands.
	p.Next(6000)
	prompts := strings.Join(p.Prompts(), "; ")
	for _, want := range []string{"35° to 80°", "counter-clockwise 45", "keel black", "tape C", "torch"} {
		if !strings.Contains(prompts, want) {
			t.Errorf("prompts are %q, want %q in it", prompts, want)
		}
	}
	p.Back(6010)
	if len(p.Prompts()) != 0 {
		t.Errorf("back where the set stands: %q", p.Prompts())
	}
	is(t, p, 7000, 0, cue.Settled)
	says(t, p.Confirm(7000), true, "nothing to confirm")

	// Confirmed within the fade, it goes on fading.
	p.Next(8000)
	p.Confirm(8010)
	is(t, p, 8010, 1, cue.Fading)
	is(t, p, 8200, 1, cue.Settled)
	says(t, p.Dark(9000), false, `"torch" is set by hand`)
	is(t, p, 9200, 1, cue.Dark)
}

func TestHandsInTheDark(t *testing.T) {
	s := sets[0]()
	bow := s.plain(lights[0], 1)
	bow.HasAngle, bow.Azimuth = true, 35
	p := s.with(bow).player()
	p.Next(0)
	p.Dark(100)
	st := is(t, p, 300, 0, cue.Dark)
	if st.SettledAt < 0 {
		t.Error("dark waits for hands")
	}
	p.DarkOff(400)
	is(t, p, 800, 0, cue.Waiting)
	p.Dark(900)
	says(t, p.Confirm(1000), false, "")
	p.DarkOff(1100)
	is(t, p, 1400, 0, cue.Settled)
}

func TestAMotorTableWaitsToBeConfirmed(t *testing.T) {
	s := sets[1]()
	bow, beam, still := s.plain(lights[0], 1), s.plain(lights[1], 1), s.plain(lights[3], 1)
	bow.HasAngle, bow.Azimuth = true, 20
	beam.HasAngle, beam.Azimuth = true, 350
	p := s.with(bow, beam, still).player()
	state := p.NewState()
	stands := func(k int64, azimuth, speed float64) {
		t.Helper()
		p.At(k, state)
		if math.Abs(state.Azimuth-azimuth) > 1e-9 || math.Abs(state.Speed-speed) > 1e-9 {
			t.Errorf("frame %d: the table is told %g° at %g°/s, want %g at %g", k, state.Azimuth, state.Speed, azimuth, speed)
		}
	}
	p.Next(0)
	if got := strings.Join(p.Prompts(), "; "); !strings.Contains(got, "toward the camera (0°)") || !strings.Contains(got, "fingers") {
		t.Errorf("the first prompt is %q", got)
	}
	stands(1000, 0, 0)
	p.Confirm(1000)
	is(t, p, 1000, 0, cue.Fading)
	const middle = 0.5 * 5 / Rate // degrees a second gained in half a frame
	stands(1000, 0, 1)            // never told less than a creep
	stands(1044, 2.5, 5+middle)   // two seconds to speed
	stands(1088, 10, 10-middle)   // and two from it
	stands(1132, 17.5, 5-middle)
	stands(1176, 20, 1) // there; it creeps while it settles
	stands(1197, 20, 1)
	stands(1198, 20, 0)
	is(t, p, 1197, 0, cue.Fading)
	is(t, p, 1198, 0, cue.Settled)

	// 30° clockwise, without hands: at once. A hold stops it, dark does, and it
	// goes on from there, from rest.
	p.Next(2000)
	if len(p.Prompts()) != 0 {
		t.Errorf("a confirmed motor table prompts %q", p.Prompts())
	}
	stands(2044, 17.5, -5-middle)
	p.Hold(2044)
	stands(2100, 17.5, 0)
	p.Resume(2200)
	stands(2200, 17.5, -1)
	p.Dark(2222)
	stands(2300, 16.875, 0)
	is(t, p, 2300, 1, cue.Dark)
	p.DarkOff(2400)
	stands(2400, 16.875, -1)
	stands(2400+88, 6.875, -10)
	stands(2400+207, 350, -1) // 26.875°: 4.6875 s
	stands(2400+229, 350, 0)

	// Called elsewhere on its way it goes over gently.
	p.Go(2700, 0)
	p.Go(2744, 1)
	stands(2744, 352.5, 5-middle)
	stands(2744+44, 355, -1)
	stands(3100, 350, 0)

	// A cue without an angle leaves it where it is.
	p.Next(3100)
	stands(3200, 350, 0)
	is(t, p, 3300, 2, cue.Settled)
}

func TestAMotorTableWaitsForHands(t *testing.T) {
	s := sets[1]()
	bow, beam := s.plain(lights[0], 1), s.plain(lights[1], 1)
	bow.HasAngle = true
	beam.HasAngle, beam.Azimuth = true, 90
	beam.Cards = []cue.CardPlace{{Place: fixtures.Place{Known: true}}}
	p := s.with(bow, beam).player()
	p.Next(0)
	p.Confirm(0)
	says(t, p.Next(500), false, "turns once you confirm")
	state := p.NewState()
	p.At(900, state)
	if state.Azimuth != 0 || state.Speed != 0 {
		t.Errorf("it turns while hands place a card: %g° at %g°/s", state.Azimuth, state.Speed)
	}
	p.Confirm(1000)
	p.At(1088, state)
	if state.Azimuth != 10 || math.Abs(state.Speed-10) > 0.1 {
		t.Errorf("two seconds after the confirm it is at %g° at %g°/s", state.Azimuth, state.Speed)
	}
}
