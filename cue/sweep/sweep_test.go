package sweep_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"limn/cue"
	"limn/cue/fade"
	"limn/cue/sweep"
	"limn/fixtures"
	"limn/fixtures/colour"
)

var centre = colour.White{Kelvin: 5600}.XY().UV()

func lit(y, kelvin float64) colour.XYZ { return colour.White{Kelvin: kelvin}.XY().XYZ(y) }

func at(azimuth float64, light ...colour.XYZ) *cue.Resolved {
	r := &cue.Resolved{Name: fmt.Sprint(azimuth), Azimuth: azimuth, HasAngle: true}
	for _, l := range light {
		r.Light = append(r.Light, cue.Light{Asked: l})
	}
	return r
}

func compile(t testing.TB, cues ...*cue.Resolved) *sweep.Sweep {
	t.Helper()
	s, err := sweep.New(cues, centre)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// cuesOf draws cues at different azimuths, some sources off in some of them.
func cuesOf(t *rapid.T) []*cue.Resolved {
	n := rapid.IntRange(1, 8).Draw(t, "cues")
	sources := rapid.IntRange(1, 3).Draw(t, "sources")
	tenths := rapid.SliceOfNDistinct(rapid.IntRange(0, 3599), n, n, rapid.ID[int]).Draw(t, "azimuths")
	var out []*cue.Resolved
	for _, a := range tenths {
		r := at(float64(a)/10 + 360*float64(rapid.IntRange(-1, 0).Draw(t, "turns")))
		for range sources {
			l := cue.Light{Path: rapid.SampledFrom([]fade.Path{fade.Auto, fade.Straight, fade.White, fade.Around}).Draw(t, "path")}
			if !rapid.Bool().Draw(t, "off") {
				l.Asked = lit(rapid.Float64Range(1e-6, 1).Draw(t, "Y"), rapid.Float64Range(2000, 10000).Draw(t, "kelvin"))
			}
			r.Light = append(r.Light, l)
		}
		out = append(out, r)
	}
	return out
}

// Rounding may take away the last digits of the larger end, and of an azimuth some
// turns round: ulp is that of 720 degrees.
const (
	rounding = 1e-14
	ulp      = 0x1p-43
)

func TestSweep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cues := cuesOf(t)
		s, err := sweep.New(cues, centre)
		if err != nil {
			t.Fatal(err)
		}
		n := len(cues[0].Light)
		got, twin := make([]colour.XYZ, n), make([]colour.XYZ, n)
		for _, r := range cues { // exact at the cues
			s.Light(r.Azimuth, got)
			for j := range got {
				if got[j] != r.Light[j].Asked {
					t.Fatalf("at %g source %d gives %v, want %v", r.Azimuth, j, got[j], r.Light[j].Asked)
				}
			}
		}
		// Within the neighbours' range, monotone from one to the other, without a jump.
		knots := s.Knots()
		for i, from := range knots {
			to := knots[(i+1)%len(knots)]
			if to <= from {
				to += 360
			}
			rounding := rounding + 3*math.Log(1e6)*ulp/(to-from) // the steepest there can be
			first, last, was := make([]colour.XYZ, n), make([]colour.XYZ, n), make([]colour.XYZ, n)
			s.Light(from, first)
			s.Light(knots[(i+1)%len(knots)], last)
			s.Light(from, was)
			const steps = 400
			for k := 1; k < steps; k++ {
				s.Light(from+(to-from)*float64(k)/steps, got)
				for j := range got {
					a, b := first[j].Y, last[j].Y
					if got[j].Y < min(a, b)-rounding || got[j].Y > max(a, b)+rounding {
						t.Fatalf("source %d overshoots: %g outside %g..%g", j, got[j].Y, a, b)
					}
					step := got[j].Y - was[j].Y
					if step*(b-a) < 0 && math.Abs(step) > rounding {
						t.Fatalf("source %d turns back by %g between %g and %g", j, step, a, b)
					}
					// A cubic within the monotone region is at most 3 times as steep as its secant, and
					// so is light, of the larger end, in ln.
					ratio := 1.0
					if a > 0 && b > 0 {
						ratio = math.Abs(math.Log(b / a))
					}
					if most := 3 * max(ratio, 1) / steps * max(a, b); math.Abs(step) > most+rounding {
						t.Fatalf("source %d jumps by %g of %g", j, step, most)
					}
					if got[j].X < 0 || got[j].Z < 0 || math.IsNaN(got[j].X+got[j].Y+got[j].Z) {
						t.Fatalf("source %d is at %v", j, got[j])
					}
				}
				copy(was, got)
			}
		}
		// Any number of turns round, the same.
		a := rapid.Float64Range(0, 359.9).Draw(t, "azimuth")
		s.Light(a, got)
		s.Light(math.Mod(a+720, 360), twin)
		for j := range got {
			if math.Abs(got[j].Y-twin[j].Y) > 1e-9 {
				t.Fatalf("after two turns source %d gives %g, before %g", j, twin[j].Y, got[j].Y)
			}
		}
		// The join at 360 is no join.
		s.Light(0, got)
		const before, narrowest = 1e-10, 0.1
		s.Light(360-before, twin)
		for j := range got {
			if math.Abs(got[j].Y-twin[j].Y) > before*3*math.Log(1e6)/narrowest {
				t.Fatalf("at 360 source %d jumps from %v to %v", j, twin[j], got[j])
			}
		}
	})
}

// With two lights a stop and a half apart and level ends, half of the way is half of the
// stops; from or to dark it is half of the light.
func TestHalfway(t *testing.T) {
	s := compile(t, at(0, lit(1, 5000), lit(0.8, 3200)), at(90, lit(0.25, 2500), colour.XYZ{}))
	got := make([]colour.XYZ, 2)
	s.Light(45, got)
	if stops := math.Log2(got[0].Y); math.Abs(stops+1) > 1e-12 {
		t.Errorf("halfway between 0 and -2 stops it is at %g stops", stops)
	}
	xy, _ := got[0].XY()
	if w, ok := xy.White(); !ok || math.Abs(w.Mired()-300) > 0.01 {
		t.Errorf("halfway between 200 and 400 mired it is at %v", w.Mired())
	}
	if math.Abs(got[1].Y-0.4) > 1e-15 {
		t.Errorf("halfway to dark it gives %g of 0.8", got[1].Y)
	}
	s.Light(90+135, got) // the other way round the same lights lie twice as far apart, and more
	if stops := math.Log2(got[0].Y); math.Abs(stops+1) > 1e-12 {
		t.Errorf("halfway back it is at %g stops", stops)
	}
}

// Slopes in stops meet where one stretch passes into the next, unless one of them ends in dark.
func TestNoKink(t *testing.T) {
	s := compile(t, at(10, lit(0.1, 5600)), at(70, lit(0.3, 5600)), at(200, lit(0.9, 5600)), at(300, lit(0.5, 5600)))
	got := make([]colour.XYZ, 1)
	y := func(a float64) float64 { s.Light(a, got); return math.Log2(got[0].Y) }
	const h = 1e-5
	for _, k := range s.Knots() {
		before, after := (y(k)-y(k-h))/h, (y(k+h)-y(k))/h
		if math.Abs(before-after) > 1e-4 {
			t.Errorf("at %g° the light bends from %g to %g stops a degree", k, before, after)
		}
	}
}

func TestStrip(t *testing.T) {
	a, b := at(0, lit(0.5, 5600)), at(180, lit(0.5, 5600))
	a.Light[0].Cells = []colour.XYZ{lit(0.2, 3000), lit(0.8, 6000)}
	a.Light[0].Asked = fixtures.Mean(a.Light[0].Cells)
	s := compile(t, a, b)
	state := &fixtures.State{Light: make([]colour.XYZ, 1), Cells: [][]colour.XYZ{make([]colour.XYZ, 0, s.Cells(0))}}
	s.At(0, state)
	if !slices.Equal(state.Cells[0], a.Light[0].Cells) || state.Light[0] != a.Light[0].Asked {
		t.Errorf("at its cue the strip gives %v, mean %v", state.Cells[0], state.Light[0])
	}
	s.At(90, state)
	if len(state.Cells[0]) != 2 || math.Abs(state.Cells[0][0].Y-math.Sqrt(0.2*0.5)) > 1e-12 || state.Light[0] != fixtures.Mean(state.Cells[0]) {
		t.Errorf("between the cues the strip gives %v, mean %v", state.Cells[0], state.Light[0])
	}
	s.At(180, state)
	if len(state.Cells[0]) != 0 || state.Light[0] != b.Light[0].Asked {
		t.Errorf("where its cells are alike the strip gives %v, mean %v", state.Cells[0], state.Light[0])
	}
}

func TestRefusals(t *testing.T) {
	nowhere := at(10, lit(1, 5600))
	nowhere.HasAngle = false
	for name, cues := range map[string][]*cue.Resolved{
		"none":          nil,
		"no angle":      {nowhere},
		"twice":         {at(10, lit(1, 5600)), at(10.04, lit(1, 5600))},
		"twice at zero": {at(0.01, lit(1, 5600)), at(180, lit(1, 5600)), at(359.99, lit(1, 5600))},
	} {
		if _, err := sweep.New(cues, centre); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestAllocs(t *testing.T) {
	a, b := at(0, lit(0.5, 5600), lit(0.1, 3000)), at(180, lit(0.5, 5600), lit(1, 4000))
	a.Light[0].Cells = []colour.XYZ{lit(0.2, 3000), lit(0.8, 6000)}
	s := compile(t, a, b)
	state := &fixtures.State{Light: make([]colour.XYZ, 2), Cells: [][]colour.XYZ{make([]colour.XYZ, 0, 2), nil}}
	azimuth := 0.0
	if n := testing.AllocsPerRun(1000, func() { azimuth += 0.37; s.At(azimuth, state); s.Light(azimuth, state.Light) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func ExampleNew() {
	bow := at(35, lit(1, 5600))
	beam := at(95, lit(0.25, 5600))
	s, err := sweep.New([]*cue.Resolved{bow, beam}, centre)
	if err != nil {
		fmt.Println(err)
		return
	}
	light := make([]colour.XYZ, 1)
	for _, azimuth := range []float64{35, 65, 95} {
		s.Light(azimuth, light)
		fmt.Printf("%g°: %.2f stops\n", azimuth, math.Log2(light[0].Y))
	}
	// Output:
	// 35°: 0.00 stops
	// 65°: -1.00 stops
	// 95°: -2.00 stops
}
