package dial

import (
	"io"
	"testing"
)

func BenchmarkText(b *testing.B) {
	shoot := kittiwake(b)
	snap := start(b, shoot, true).do("go bow", 10).snapshot()
	for _, size := range []struct {
		name          string
		width, height int
	}{{"80x24", 80, 24}, {"200x60", 200, 60}} {
		b.Run(size.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Text(shoot, snap, size.width, size.height, true)
			}
		})
	}
}

func BenchmarkSVG(b *testing.B) {
	shoot := kittiwake(b)
	snap := start(b, shoot, true).do("go bow", 10).snapshot()
	for name, opt := range map[string]Options{"whole": {}, "phone": {Width: 390}, "plan": {Part: Plan, Width: 390}} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := SVG(io.Discard, shoot, snap, opt); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
