package measure_test

import (
	"fmt"
	"math"
	"strings"

	"limn/fixtures/colour"
	"limn/profiles"
	"limn/profiles/measure"
	"limn/profiles/tomlfile"
)

// A panel with one white dims by the square of its code.
func ExampleSeries_Solve() {
	var ps tomlfile.Problems
	p, _ := profiles.Open(nil, "", &ps).Find("dimmer")
	s := &measure.Series{Source: "sky", Profile: p, Terms: measure.MeterTerms(), OwnDark: true}
	for _, step := range measure.Plan("sky", p, 9) {
		s.Readings = append(s.Readings, measure.Reading{
			Source: "sky", Control: step.Control, Level: step.Level, After: math.NaN(),
			Lux: 1200 * step.Level * step.Level, XY: colour.White{Kelvin: 5480}.XY(),
		})
	}
	r, err := s.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	c := &r.Curves[0]
	fmt.Printf("%s: %.0f lx at full, %.1f %% at half the code\n", c.Control, c.Lux, 100*c.Now.Light(0.5))
	fmt.Printf("good to %.1f %%\n", 100*measure.Sum(r.Budget.Lux))
	// Output:
	// white: 1200 lx at full, 25.0 % at half the code
	// good to 5.5 %
}

// What a meter's software exports, with the decimal comma of its land.
func ExampleReadTable() {
	rows, _, err := measure.ReadTable(strings.NewReader("Name;Code;Ev [lx]\nsky;128;412,5\n"), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(rows[0].Source, rows[0].Level, rows[0].Lux)
	// Output: sky 128 412.5
}

func ExampleParseAnswer() {
	a, err := measure.ParseAnswer("1850 lx 5480 K tint +0.002")
	w, _ := a.XY.White()
	fmt.Println(a.Lux, w, err)
	_, err = measure.ParseAnswer("5600 K")
	fmt.Println(err)
	// Output:
	// 1850 5480 K tint +0.002 <nil>
	// "5600 K" is a colour without lux; write the lux and, if the meter tells it, the colour: 1850 lx, or 1850 lx 5480 K tint +0.002, or 1850 lx xy 0.332 0.341
}
