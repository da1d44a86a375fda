package screen

import (
	"testing"

	uv "github.com/charmbracelet/ultraviolet"
)

// The view alone, and with what the terminal library does to put it into cells.
func BenchmarkRedraw200x60(b *testing.B) {
	m := at(b, settle(start(b), "go bow").do("go port bow by moonlight", 1.6), 200, 60)
	b.Run("view", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			m.View()
		}
	})
	b.Run("view and cells", func(b *testing.B) {
		cells := uv.NewScreenBuffer(200, 60)
		b.ReportAllocs()
		for b.Loop() {
			uv.NewStyledString(m.View().Content).Draw(cells, cells.Bounds())
		}
	})
}
