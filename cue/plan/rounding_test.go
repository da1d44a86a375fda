package plan

import (
	"math"
	"testing"

	"limn/fixtures/quantity"
)

// Full and third stops are written as lenses bear them.
func TestFNumber(t *testing.T) {
	for third, want := range map[int]string{0: "f/1", 3: "f/1.4", 6: "f/2", 9: "f/2.8", 12: "f/4", 15: "f/5.6", 18: "f/8", 21: "f/11", 24: "f/16", 27: "f/22", 30: "f/32", 25: "f/18", 26: "f/20", 16: "f/6.3"} {
		if got := FNumber(math.Exp2(float64(third) / 6)); got != want {
			t.Errorf("%d thirds: %s, want %s", third, got, want)
		}
	}
	if got := Effective(67.2); got != "f/67" {
		t.Errorf("%s", got)
	}
	// What is told can be set: it reads back to within a sixth of a stop.
	for n := 1.9; n < 45; n *= 1.01 {
		a, err := quantity.ParseAperture(FNumber(n))
		if err != nil || math.Abs(2*math.Log2(a.N/n)) > 1.0/6+0.09 { // marks are rounded: f/3.5 is a tenth off
			t.Errorf("%g is told as %s: %v", n, FNumber(n), err)
		}
	}
}

func TestTime(t *testing.T) {
	for seconds, want := range map[float64]string{0.02: "1/50 s", 1.0 / 48: "1/48 s", 0.1: "1/10 s", 0.5: "0.5 s", 0.6: "0.6 s", 1: "1 s", 2.04: "2 s", 1.0 / 8100: "1/8000 s", 0.0011: "1/1000 s", 1.0 / 3: "1/3 s"} {
		if got := Time(seconds); got != want {
			t.Errorf("%g is told as %s, want %s", seconds, got, want)
		}
	}
	for seconds := 1e-4; seconds < 60; seconds *= 1.03 {
		s, err := quantity.ParseShutter(Time(seconds))
		if err != nil || math.Abs(math.Log2(s.Seconds(0)/seconds)) > 0.25 {
			t.Errorf("%g s is told as %s: %v", seconds, Time(seconds), err)
		}
	}
}

func TestISOAndStops(t *testing.T) {
	for speed, want := range map[float64]string{740: "800", 101: "100", 50: "50", 6300: "6400", 330: "320"} {
		if got := ISO(speed); got != want {
			t.Errorf("ISO %g is told as %s, want %s", speed, got, want)
		}
	}
	for stops, want := range map[float64]string{1: "1 stop", -0.04: "0 stop", 1.25: "1.3 stops", -2: "-2 stops", math.Inf(-1): "none"} {
		if got := Stops(stops); got != want {
			t.Errorf("%g is told as %q, want %q", stops, got, want)
		}
	}
	if got := SignedStops(0.31); got != "+0.3 stop" {
		t.Errorf("%q", got)
	}
	if got := Lux(1634); got != "1600 lx" {
		t.Errorf("%q", got)
	}
}
