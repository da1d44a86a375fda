package timeline

import (
	"math"
	"slices"
	"testing"

	"limn/cue"
	"limn/cue/fade"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// along is a plain cue in which both strips have their nth ramp.
func (s *set) along(n int, rest colour.XYZ, seconds float64) cue.Resolved {
	r := s.plain(rest, seconds)
	for _, i := range []int{strip, tube} {
		cells := ramps[s.renderer.Layout(i).Cells][n]
		r.Light[i].Cells, r.Light[i].Asked = cells, fixtures.Mean(cells)
	}
	return r
}

// A plain light is a ramp whose cells are alike: from one to the other each cell
// goes its own way, and arrives where it is asked.
func TestRampAndPlainLightFadeCellByCell(t *testing.T) {
	s := sets[0]()
	plain, ramped := s.plain(lights[1], 1), s.along(0, lights[1], 1)
	for i := range plain.Light {
		plain.Light[i].Path, ramped.Light[i].Path = fade.Straight, fade.Straight // so that the way is easily told
	}
	s = s.with(plain, ramped)
	p := s.player()
	state := p.NewState()
	p.Go(0, 0)
	p.At(200, state)
	if len(state.Cells[strip]) != 0 {
		t.Fatal("a plain light is told cell by cell")
	}
	p.Go(200, 1)
	p.At(211, state) // a quarter of the way
	for j, to := range ramped.Light[strip].Cells {
		want := lights[1].Scale(0.75).Add(to.Scale(0.25))
		if d := state.Cells[strip][j].Add(want.Scale(-1)); math.Abs(d.X)+math.Abs(d.Y)+math.Abs(d.Z) > 1e-15 {
			t.Errorf("cell %d is at %v, want %v", j, state.Cells[strip][j], want)
		}
	}
	p.At(500, state)
	if !slices.Equal(state.Cells[strip], ramped.Light[strip].Cells) || state.Light[strip] != ramped.Light[strip].Asked {
		t.Errorf("arrives at %v", state.Cells[strip])
	}
	p.Go(500, 0)
	p.At(522, state)
	if half := ramped.Light[strip].Cells[0].Add(lights[1]).Scale(0.5); math.Abs(state.Cells[strip][0].Y-half.Y) > 1e-15 {
		t.Errorf("half way back the first cell is at %v, want %v", state.Cells[strip][0], half)
	}
	p.At(900, state)
	if len(state.Cells[strip]) != 0 || state.Light[strip] != lights[1] || len(state.Offset[strip]) != 3 {
		t.Error("landed on a plain light it is still told cell by cell")
	}
}

// A cue whose ramp is the one that is lit changes nothing, to the last code; so
// it is with a plain light that is called again while it lands.
func TestTheSameRampStays(t *testing.T) {
	s := sets[0]()
	s = s.with(s.along(0, lights[0], 1), s.along(0, lights[1], 1), s.plain(lights[3], 0.5))
	p := s.player()
	p.Go(0, 0)
	k := settle(t, p, 0)
	p.Go(k, 1)
	was, now := p.NewState(), p.NewState()
	p.At(k, was)
	for n := range int64(100) {
		p.At(k+n, now)
		for _, i := range []int{strip, tube} {
			if !slices.Equal(now.Cells[i], was.Cells[i]) || !slices.Equal(now.Offset[i], was.Offset[i]) {
				t.Fatalf("source %d moves %d frames after it was asked for what it gives", i, n)
			}
		}
	}
	k += 200
	p.Go(k, 2)
	landing := s.landings.of(strip, lights[3], nil)
	if landing == nil {
		t.Skip("this light lands where it moves: choose another")
	}
	p.Go(k+23, 2) // the light has arrived, its last code has not
	if p.At(k+23, now); len(now.Cells[strip]) == 0 {
		t.Fatal("it has landed already: choose another light")
	}
	p.At(k+200, now)
	if len(now.Cells[strip]) != 0 || !slices.Equal(now.Offset[strip], landing) {
		t.Errorf("called while it lands it ends %v off, want %v", now.Offset[strip], landing)
	}
}

// Dark takes a ramp down cell by cell and brings back the same bytes.
func TestDarkRemembersARamp(t *testing.T) {
	s := sets[0]()
	s = s.with(s.along(1, lights[0], 1))
	p := s.player()
	p.Go(0, 0)
	before, _ := s.render(p, settle(t, p, 0))
	p.Dark(500)
	if frames, _ := s.render(p, 600); slices.Max(frames[1][:]) != 0 {
		t.Error("the strips are lit in the dark")
	}
	p.DarkOff(600)
	if after, _ := s.render(p, 900); !slices.Equal(before, after) {
		t.Error("dark off does not bring back the same bytes")
	}
}

// What is reported of a ramp is its mean; without light, that of the last there was.
func TestChromaticityOfARamp(t *testing.T) {
	s := sets[0]()
	s = s.with(s.along(0, lights[0], 1))
	xy := make([]colour.XY, len(s.shoot.Rig.Sources))
	p := s.player()
	state := p.NewState()
	check := func(k int64) {
		t.Helper()
		p.At(k, state)
		p.Chromaticity(k, xy)
		if want, ok := fixtures.Mean(state.Cells[strip]).XY(); !ok || xy[strip] != want {
			t.Errorf("frame %d: reported as %v, its cells give %v", k, xy[strip], want)
		}
	}
	p.Go(0, 0)
	for _, k := range []int64{1, 22, 99} {
		check(k)
	}
	p.Dark(100)
	for _, k := range []int64{100, 120, 143} {
		check(k)
	}
	last := xy[strip]
	if p.Chromaticity(9999, xy); xy[strip] != last {
		t.Errorf("in the dark it is reported as %v, want %v", xy[strip], last)
	}
}

// Cells that do not fit the rig are no mistake of the operator's: the mean is played.
func TestCellsOfAnotherRig(t *testing.T) {
	s := sets[0]()
	c := s.plain(lights[1], 0)
	c.Light[sky].Cells, c.Light[strip].Cells = ramps[5][0], ramps[4][0]
	p := s.with(c).player()
	p.Prepare(0)
	p.Go(0, 0)
	state := p.NewState()
	for _, i := range []int{sky, strip} {
		if p.At(5, state); len(state.Cells[i]) != 0 || state.Light[i] != lights[1] {
			t.Errorf("source %d gives %v, want %v", i, state.Light[i], lights[1])
		}
	}
}
