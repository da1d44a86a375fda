package sweep_test

import (
	"testing"

	"limn/cue"
	"limn/fixtures/colour"
)

func BenchmarkLight(b *testing.B) {
	var cues []*cue.Resolved
	for i := range 6 {
		r := at(float64(60 * i))
		for j := range 512 {
			r.Light = append(r.Light, cue.Light{Asked: lit(float64((i*7+j)%9+1)/10, 2500+float64(500*((i+j)%9)))})
		}
		cues = append(cues, r)
	}
	s := compile(b, cues...)
	light := make([]colour.XYZ, 512)
	azimuth := 0.0
	b.ReportAllocs()
	for b.Loop() {
		azimuth += 0.1
		s.Light(azimuth, light)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/512, "ns/source")
}
