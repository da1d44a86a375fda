package fade_test

import (
	"fmt"

	"limn/cue/fade"
	"limn/fixtures/colour"
)

// Half way from tungsten to daylight: half way in mired, not in kelvin, and
// half way in light.
func ExampleFade_At() {
	warm := colour.White{Kelvin: 3200}.XY().XYZ(0.2)
	cool := colour.White{Kelvin: 5600}.XY().XYZ(0.8)
	f := fade.New(fade.Linear, fade.Auto, warm, cool, colour.White{Kelvin: 5600}.XY().UV())
	half := f.At(0.5)
	xy, _ := half.XY()
	w, _ := xy.White()
	fmt.Printf("%.0f K at Y %.2f\n", w.Kelvin, half.Y)
	// Output: 4073 K at Y 0.50
}
