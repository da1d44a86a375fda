package plan

import "testing"

// BenchmarkExpose is the whole report over Kittiwake's eight cues.
func BenchmarkExpose(b *testing.B) {
	s := kittiwake(b)
	b.ReportAllocs()
	for b.Loop() {
		expose(b, s, Options{FullLook: 5.6})
	}
}

// BenchmarkFlickerFaults is what check asks of flicker, against the report.
func BenchmarkFlickerFaults(b *testing.B) {
	s := edited(b, `shutter  = "1/10 s"`, `shutter = "1/250 s"`)
	b.Run("faults", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			FlickerFaults(s)
		}
	})
	b.Run("report", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := NewFlicker(s, Options{}); err != nil {
				b.Fatal(err)
			}
		}
	})
}
