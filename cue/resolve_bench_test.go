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
