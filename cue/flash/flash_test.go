package flash_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/cue/flash"
	"limn/fixtures/colour"
)

var white = colour.White{Kelvin: 6504}.XY()

// count feeds the light of one source, frame by frame, and gives the flashes of the worst second and
// whether any was too much.
func count(rate int, series []colour.XYZ) (worst float64, found flash.Finding) {
	d := flash.New(rate, []float64{1})
	for k, c := range series {
		if f := d.Add(int64(k), []colour.XYZ{c}); f.Found && !found.Found {
			found = f
		}
		worst = max(worst, d.PerSecond(int64(k)))
	}
	return worst, found
}

func levels(y ...float64) []colour.XYZ {
	out := make([]colour.XYZ, len(y))
	for i := range y {
		out[i] = white.XYZ(y[i])
	}
	return out
}

// Series and figures of testdata/photography, by the rule of W3C WCAG 2.2 and ITU-R BT.1702; that
// seven changes fail is how published test patterns are made.
func TestPublished(t *testing.T) {
	src, err := os.ReadFile("../../testdata/photography/photography.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []json.RawMessage
	if err := json.Unmarshal(src, &all); err != nil {
		t.Fatal(err)
	}
	met := 0
	for _, raw := range all {
		if !bytes.Contains(raw, []byte(`"id": "saf-flash-`)) {
			continue
		}
		met++
		var v struct {
			ID       string
			Inputs   struct{ Times, Levels []float64 }
			Expected struct {
				Flashes int
				Pass    bool
			}
		}
		if err := json.Unmarshal(raw, &v); err != nil {
			t.Fatal(err)
		}
		const rate = 240 // all times of the series are whole frames of it
		var series []float64
		for i, at := range v.Inputs.Times {
			for float64(len(series)) < math.Round(at*rate) {
				series = append(series, v.Inputs.Levels[max(i-1, 0)])
			}
			series = append(series, v.Inputs.Levels[i])
		}
		worst, found := count(rate, levels(series...))
		if flashes := int(worst); found.Found == v.Expected.Pass || flashes < min(v.Expected.Flashes, 3) {
			t.Errorf("%s: %d flashes, too many %t; want %d, pass %t", v.ID, flashes, found.Found, v.Expected.Flashes, v.Expected.Pass)
		}
	}
	if met != 3 {
		t.Errorf("%d series, want 3", met)
	}
}

// brute is the rule read literally, by another road: turns found by taking the smallest swing out of the whole
// series until none below the limit is left, then each leg's first frame that qualifies.
func brute(y []float64) (changes []int) {
	type turn struct {
		k int
		y float64
	}
	var turns []turn
	for k := range y {
		if len(turns) == 0 || y[k] != turns[len(turns)-1].y {
			turns = append(turns, turn{k, y[k]})
		}
	}
	for { // keep only where it turns
		kept := turns[:0:0]
		for i := range turns {
			if i > 0 && i < len(turns)-1 && (turns[i].y-turns[i-1].y)*(turns[i+1].y-turns[i].y) > 0 {
				continue
			}
			kept = append(kept, turns[i])
		}
		if len(kept) == len(turns) {
			break
		}
		turns = kept
	}
	for { // the smallest swing goes
		at, least := -1, flash.MinChange
		for i := 1; i < len(turns); i++ {
			if d := math.Abs(turns[i].y - turns[i-1].y); d < least {
				at, least = i, d
			}
		}
		if at < 0 {
			break
		}
		switch {
		case at == 1 && len(turns) == 2:
			turns = turns[:1]
		case at == 1: // the beginning: the farther of the two turns stands
			turns = turns[1:]
		case at == len(turns)-1:
			turns = turns[:at]
		default:
			turns = append(turns[:at-1:at-1], turns[at+1:]...)
		}
	}
	for i := 1; i < len(turns); i++ {
		a := turns[i-1]
		for k := a.k; k <= turns[i].k; k++ {
			if sense := turns[i].y - a.y; (y[k]-a.y)*math.Copysign(1, sense) >= flash.MinChange && min(y[k], a.y) < flash.MaxDarker {
				changes = append(changes, k)
				break
			}
		}
	}
	return changes
}

func within(changes []int, k, rate int) int {
	n := 0
	for _, c := range changes {
		if c > k-rate && c <= k {
			n++
		}
	}
	return n
}

func TestAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const rate = 44
		// Levels on a grid of 1/64: their differences are exact, and 0.10 is none of them.
		y := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) float64 {
			return float64(rapid.IntRange(0, 64).Draw(t, "level")) / 64
		}), 1, 150).Draw(t, "series")
		if rapid.Bool().Draw(t, "slow") { // runs instead of noise
			for i := 1; i < len(y); i++ {
				if i%rapid.IntRange(3, 9).Draw(t, "run") != 0 {
					y[i] = y[i-1]
				}
			}
		}
		changes := brute(y)
		d := flash.New(rate, []float64{1})
		for k := range y {
			found := d.Add(int64(k), levels(y[k]))
			want := within(changes, k, rate)
			if got := d.PerSecond(int64(k)); got != float64(min(want, 7))/2 {
				t.Fatalf("frame %d: %g flashes, counted by hand %d changes at %v", k, got, want, changes)
			}
			if tooMany := want >= 7 && changesAt(changes, k); found.Found != tooMany {
				t.Fatalf("frame %d: too many %t, counted by hand %d", k, found.Found, want)
			}
		}
	})
}

func changesAt(changes []int, k int) bool {
	for _, c := range changes {
		if c == k {
			return true
		}
	}
	return false
}

// Red: the longest chain of states in which every second one is a saturated red, found by
// trying all.
func TestRedAgainstBruteForce(t *testing.T) {
	xy := map[byte]colour.XYZ{
		'r': colour.XY{X: 0.69, Y: 0.31}.XYZ(0.2),   // a deep red
		'R': colour.XY{X: 0.64, Y: 0.33}.XYZ(0.21),  // the red of sRGB
		'w': white.XYZ(0.21),                        // as bright as red: no general flash
		'b': colour.XY{X: 0.15, Y: 0.06}.XYZ(0.2),   // blue
		'o': colour.XY{X: 0.52, Y: 0.40}.XYZ(0.205), // an orange, too near to red to be a change
		'd': {},                                     // dark
		'e': colour.XY{X: 0.64, Y: 0.33}.XYZ(0.005), // a red as dim as darkness
	}
	red := func(c byte) bool { return c == 'r' || c == 'R' }
	uv := func(c byte) colour.UV {
		p, lit := xy[c].XY()
		if !lit || c == 'e' {
			p = colour.XY{X: 0.3127, Y: 0.3290}
		}
		return p.UV()
	}
	rapid.Check(t, func(t *rapid.T) {
		series := rapid.SliceOfN(rapid.SampledFrom([]byte("rRwbode")), 1, 40).Draw(t, "series")
		const rate = 1000 // all within one second
		best := make([]int, len(series))
		longest := 0
		for i := range series {
			for j := range i {
				if red(series[i]) != red(series[j]) && uv(series[i]).Distance(uv(series[j])) > flash.MinRedStep {
					best[i] = max(best[i], best[j]+1)
				}
			}
			longest = max(longest, best[i])
		}
		// Only the red rule: the luminance is held out by weighing dark against its neighbours.
		d := flash.New(rate, []float64{1})
		tooMany := false
		for k, c := range series {
			light := xy[c]
			if f := d.Add(int64(k), []colour.XYZ{light}); f.Found && f.Red {
				tooMany = true
			}
		}
		if tooMany != (longest >= 7) && !strings.ContainsAny(string(series), "de") {
			t.Fatalf("%s: too many %t, the longest chain has %d changes", series, tooMany, longest)
		}
		if tooMany && longest < 7 {
			t.Fatalf("%s: too many, and the longest chain has %d changes", series, longest)
		}
	})
}

// What the thresholds let pass and what they do not, at 44 frames a second.
func TestSeries(t *testing.T) {
	alternate := func(every int, a, b colour.XYZ) []colour.XYZ {
		var out []colour.XYZ
		for k := range 132 {
			if k/every%2 == 0 {
				out = append(out, a)
			} else {
				out = append(out, b)
			}
		}
		return out
	}
	red, amber := colour.XY{X: 0.69, Y: 0.31}.XYZ(0.2), colour.XY{X: 0.58, Y: 0.41}.XYZ(0.2)
	for _, c := range []struct {
		name   string
		series []colour.XYZ
		bad    bool
	}{
		{"still", alternate(1000, white.XYZ(1), white.XYZ(1)), false},
		{"less than three a second", alternate(8, white.XYZ(0), white.XYZ(1)), false},
		{"three and a half a second", alternate(6, white.XYZ(0), white.XYZ(1)), true},
		{"changes of 9 %", alternate(2, white.XYZ(0.3), white.XYZ(0.39)), false},
		{"changes of 11 %", alternate(2, white.XYZ(0.3), white.XYZ(0.41)), true},
		{"all brighter than 0.80", alternate(2, white.XYZ(0.81), white.XYZ(1)), false},
		{"between white and red of one luminance", alternate(2, white.XYZ(0.2), red), true},
		{"between amber and white of one luminance", alternate(2, white.XYZ(0.2), amber), false},
		{"red from dark", alternate(2, colour.XYZ{}, red.Scale(0.45)), true},
		{"the dimmest red from dark", alternate(2, colour.XYZ{}, red.Scale(0.01)), false},
	} {
		if worst, found := count(44, c.series); found.Found != c.bad {
			t.Errorf("%s: %g flashes a second, too many %t", c.name, worst, found.Found)
		}
	}
}

// Seven lights that flash once a second each, in turn, flash together.
func TestTogether(t *testing.T) {
	d := flash.New(44, []float64{1000, 1000, 1000, 1000})
	var found flash.Finding
	for k := range 132 {
		light := make([]colour.XYZ, 4)
		if k%12 < 5 {
			light[k/12%4] = white.XYZ(1)
		}
		if f := d.Add(int64(k), light); f.Found && !found.Found {
			found = f
		}
	}
	if !found.Found || found.Source != flash.Together || found.Say("") != "the whole set flashes more than 3 times a second" {
		t.Errorf("%+v", found)
	}
	// A source of a hundredth of the light does not make the set flash, but itself.
	d = flash.New(44, []float64{10, 1000})
	found = flash.Finding{}
	for k := range 132 {
		if f := d.Add(int64(k), []colour.XYZ{white.XYZ(float64(k / 3 % 2)), white.XYZ(0.5)}); f.Found && !found.Found {
			found = f
		}
	}
	if !found.Found || found.Source != 0 {
		t.Errorf("%+v", found)
	}
}

func TestAllocs(t *testing.T) {
	d := flash.New(44, []float64{1000, 500, math.NaN()})
	light := levels(0.1, 0.5, 0.9)
	k := int64(0)
	if n := testing.AllocsPerRun(1000, func() { k++; light[k%3] = white.XYZ(float64(k%5) / 5); d.Add(k, light); d.PerSecond(k) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func ExampleDetector() {
	d := flash.New(44, []float64{1850})
	for k := range int64(44) {
		light := []colour.XYZ{white.XYZ(float64(k / 5 % 2))} // on and off every five frames
		if f := d.Add(k, light); f.Found {
			fmt.Println("frame", f.K, f.Say("lantern"))
			break
		}
	}
	// Output:
	// frame 35 lantern flashes more than 3 times a second
}
