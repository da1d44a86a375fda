package cue

import (
	"fmt"
	"testing"
)

// The largest day anybody has: every cue comes from the one before, takes a
// look and says something of its own.
func BenchmarkResolve10000(b *testing.B) {
	cues := make([]Cue, 10_000)
	key, panel, torch := lit("80 %", ""), lit("key -1 stop", "5600 K"), lit("-2 stops", "")
	for i := range cues {
		cues[i] = Cue{Name: fmt.Sprint("cue ", i), Looks: []string{"dusk"}, Light: map[int]Entry{
			testKey: key, testPanel: panel, testTorch: torch,
		}}
		if i%10 > 0 {
			cues[i].From = cues[i-1].Name
		}
	}
	s := testShoot(cues...)
	s.Looks = []Look{{Name: "dusk", Light: map[int]Entry{testStrip: lit("20 %", "#ff5a2a")}}}
	r := renderer(b, s)
	b.ReportAllocs()
	for b.Loop() {
		if faults := s.Resolve(r); len(faults) > 1 { // the panel is off white, said once
			b.Fatal(faults)
		}
	}
}

// The same day with a ramp in every cue, and one that differs in every tenth.
func BenchmarkResolveRamps10000(b *testing.B) {
	cues := make([]Cue, 10_000)
	key := lit("80 %", "")
	for i := range cues {
		cues[i] = Cue{Name: fmt.Sprint("cue ", i), Light: map[int]Entry{testKey: key}}
		if i%10 > 0 {
			cues[i].From = cues[i-1].Name
		} else {
			low := fmt.Sprintf("%g lx", 10+float64(i)/1000)
			cues[i].Light[testStrip] = ramped("", "", point(0, low, "3200 K"), point(1, "80 lx", "5600 K"))
		}
	}
	s := stripShoot(cues...)
	r := renderer(b, s)
	b.ReportAllocs()
	for b.Loop() {
		if faults := s.Resolve(r); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
}

// A trim while the largest day is open: what it costs to compose one cue of it.
func BenchmarkComposeOf10000(b *testing.B) {
	cues := make([]Cue, 10_000)
	for i := range cues {
		cues[i] = Cue{Name: fmt.Sprint("cue ", i), Light: map[int]Entry{testKey: lit("80 %", ""), testPanel: lit("key -1 stop", "5600 K")}}
		if i%10 > 0 {
			cues[i].From = cues[i-1].Name
		}
	}
	s := testShoot(cues...)
	r := renderer(b, s)
	s.Resolve(r)
	over := &Over{Trims: map[int]Entry{testPanel: lit("", "4300 K")}}
	b.ReportAllocs()
	for b.Loop() {
		s.Compose(r, 5009, over)
	}
}
