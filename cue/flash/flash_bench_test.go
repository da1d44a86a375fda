package flash_test

import (
	"testing"

	"limn/cue/flash"
)

func BenchmarkAdd(b *testing.B) {
	light := levels(make([]float64, 512)...)
	weights := make([]float64, len(light))
	d := flash.New(44, weights)
	k := int64(0)
	b.ReportAllocs()
	for b.Loop() {
		k++
		for i := range light {
			light[i] = white.XYZ(float64((int(k)+i)%300) / 300)
		}
		d.Add(k, light)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(light)), "ns/source")
}
