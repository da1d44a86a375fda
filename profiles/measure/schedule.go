package measure

import (
	"fmt"
	"slices"

	"limn/fixtures"
)

// How many levels of an emitter are read: fewer leave the curve to guessing, more
// take longer than the light holds still.
const (
	MinLevels     = 9
	MaxLevels     = 17
	DefaultLevels = 11
)

// cctLevels is how many points of a colour temperature are read: the mix is smooth.
const cctLevels = 9

// levelCodes are 8-bit codes in the order in which they tell most: closer and closer
// toward black, where panels cut off. The first 11 are the schedule of common
// practice, 0 1 2 4 8 16 32 64 128 192 255.
var levelCodes = [MaxLevels]int{0, 255, 64, 16, 128, 32, 8, 4, 2, 1, 192, 48, 96, 24, 12, 6, 3}

// Levels are so many shares of the highest code, ascending from 0 to 1; n is held
// within MinLevels..MaxLevels.
func Levels(n int) []float64 {
	codes := slices.Sorted(slices.Values(levelCodes[:min(max(n, MinLevels), MaxLevels)]))
	shares := make([]float64, len(codes))
	for i, c := range codes {
		shares[i] = float64(c) / fixtures.Max8
	}
	return shares
}

// Step is one reading to take.
type Step struct {
	Source, Control string
	Level           float64 // share of the highest code
	Code, Max       int     // the same as a code; Max 0 = the whole light
}

func (s Step) String() string {
	switch {
	case isDark(s.Control, s.Level):
		return s.Source + ": everything dark"
	case s.Control == Whole:
		return s.Source + ": the whole light at full"
	}
	return fmt.Sprintf("%s: %s at code %d of %d (%.3g %%)", s.Source, s.Control, s.Code, s.Max, 100*s.Level)
}

// Plan lists the readings of one light in their order: the dark, the whole light as
// reference, each control at n levels from full down with the reference again behind
// it. Full comes first: what fades by itself then fades before it counts.
func Plan(source string, p *fixtures.Profile, n int) []Step {
	whole := Step{Source: source, Control: Whole, Level: 1}
	steps := []Step{{Source: source, Control: Whole}, whole}
	for _, control := range Controls(p) {
		most := highest(p, control)
		levels := Levels(n)[1:]
		if control == CCT {
			levels = levels[:0]
			for i := range cctLevels {
				levels = append(levels, float64(i)/(cctLevels-1))
			}
		}
		slices.Reverse(levels)
		last := -1
		for _, share := range levels {
			code := int(share*float64(most) + 0.5)
			if code == last {
				continue
			}
			last = code
			steps = append(steps, Step{source, control, float64(code) / float64(most), code, most})
		}
		steps = append(steps, whole)
	}
	return steps
}
