package profiles_test

import (
	"fmt"
	"os"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/mix"
	"limn/profiles"
	"limn/profiles/tomlfile"
)

// A panel was measured: its warm diode is pinker than those of its make.
func ExampleParseCalibration() {
	var ps tomlfile.Problems
	c, ok := profiles.ParseCalibration("calibrations/sky.toml", []byte(`
version = 1
instrument = "hand spectrometer"
[[emitter]]
name = "warm"
colour = "2700 K tint -0.004"
lux = "1600 lx"
[[emitter]]
name = "cool"
colour = "6500 K tint +0.003"
lux = "2000 lx"
`), &ps)
	if !ok {
		fmt.Println(ps.Sorted())
		return
	}
	panel, _ := profiles.Open(nil, "", &ps).Find("bicolour-panel-16bit")
	own, err := c.Apply(panel)
	if err != nil {
		fmt.Println(err)
		return
	}
	warm := colour.White{Kelvin: 2700}.XY()
	for _, p := range []*fixtures.Profile{panel, own} {
		head, err := fixtures.NewHead(p, mix.Even)
		if err != nil {
			fmt.Println(err)
			return
		}
		white, _ := head.Reach(warm).XY.White()
		fmt.Printf("%.0f K, Duv %+.4f, %.0f lm at the most\n", white.Kelvin, white.Duv, head.Lumens())
	}
	fmt.Printf("%.0f lx at the aim point\n", c.MostLux(panel))
	// Output:
	// 2701 K, Duv +0.0000, 7200 lm at the most
	// 2700 K, Duv -0.0040, 7200 lm at the most
	// 3600 lx at the aim point
}

func ExampleFormatCalibration() {
	curve := mix.Square()
	c := &fixtures.Calibration{
		Profile: "tungsten-dimmer", Instrument: "hand spectrometer", Date: "2026-11-20",
		Emitters: []fixtures.Measured{{
			Name: "lamp", XY: colour.XY{X: 0.4475, Y: 0.4078}, Lux: 910, Response: &curve,
			Dimmed: []fixtures.Dimmed{{Level: 0.1, XY: colour.XY{X: 0.5182, Y: 0.4143}}},
		}},
	}
	os.Stdout.Write(profiles.FormatCalibration(c))
	// Output:
	// version = 1
	// profile = "tungsten-dimmer"
	// instrument = "hand spectrometer"
	// date = "2026-11-20"
	//
	// [[emitter]]
	// name = "lamp"
	// colour = "xy 0.4475 0.4078"
	// lux = "910 lx"
	// response = "square"
	// dimmed = [
	//   { level = "10 %", colour = "xy 0.5182 0.4143" },
	// ]
}
