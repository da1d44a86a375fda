package camera_test

import (
	"fmt"

	"limn/cue/camera"
)

// What it takes for a model of a launch at 1:12 to look as the launch does at
// f/5.6, and why one frame cannot have it.
func ExampleMiniature() {
	full := camera.View{Focal: 50, N: 5.6, Distance: 9000, Width: 36}
	e := camera.Miniature(full, 12, 36, 0.03, camera.Wavelength)
	fmt.Printf("f/%.0f, %.1f stops more light, diffraction %.1f times the blur allowed\n", e.Effective, e.Stops, e.AiryOverBlur)
	// Output: f/68, 7.2 stops more light, diffraction 3.0 times the blur allowed
}

// A stack that marches through a hull.
func ExampleFocusStack() {
	for _, u := range camera.FocusStack(50, 11, 0.03, 600, 1200, 0.25) {
		fmt.Printf("%.0f mm\n", u)
	}
	// Output:
	// 647 mm
	// 739 mm
	// 862 mm
	// 1039 mm
	// 1313 mm
}
