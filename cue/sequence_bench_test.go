package cue

import (
	"fmt"
	"testing"

	"limn/fixtures/colour"
	"limn/fixtures/quantity"
)

// Ten thousand steps over as many cues.
func BenchmarkExpand(b *testing.B) {
	s := testShoot()
	q := &Sequence{Name: "long", By: ByFrame}
	for i := range 10_000 {
		name := fmt.Sprintf("cue %d", i)
		s.Cues = append(s.Cues, Cue{Name: name})
		s.Resolved = append(s.Resolved, Resolved{Name: name, Light: []Light{{Asked: colour.XYZ{X: 1, Y: 1, Z: 1}}}})
		q.Steps = append(q.Steps, Step{Cue: name})
	}
	q.Pictures.Focus = []quantity.Length{{Metres: 0.5}, {Metres: 0.6}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := s.Expand(q); err != nil {
			b.Fatal(err)
		}
	}
}
