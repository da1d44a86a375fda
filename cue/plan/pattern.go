package plan

import "math"

// Pattern is what a flickering light looks like: the exposure of n rows from the
// top of a picture to its bottom, or where no readout is known of n frames in a
// row, over its mean.
type Pattern struct {
	Rows   bool // of one picture; false: of successive frames
	Values []float64
}

// Pattern draws the flicker of a source at the camera's settings, nil where they
// are not known.
func (f *SourceFlicker) Pattern(readout, fps, seconds float64, n int) *Pattern {
	step, rows := readout/float64(n), true
	if !(readout > 0) {
		step, rows = 1/fps, false
	}
	if !(step > 0) || math.IsInf(step, 0) || !(seconds > 0) || n < 1 {
		return nil
	}
	p := &Pattern{Rows: rows, Values: make([]float64, n)}
	for i := range p.Values {
		from := float64(i) * step * f.Hertz
		p.Values[i] = f.exposed(from, float64(f.Hertz*seconds))
	}
	return p
}

// exposed is the light of so many cycles from a phase on, over the mean: exact.
func (f *SourceFlicker) exposed(from, cycles float64) float64 {
	if f.Sine {
		// The integral of 1 + M·sin over the exposure.
		swing := (math.Cos(2*math.Pi*from) - math.Cos(2*math.Pi*(from+cycles))) / (2 * math.Pi * cycles)
		return 1 + float64(f.Depth*swing)
	}
	on := f.on(from+cycles) - f.on(from)
	part := switched(f.Depth, f.Duty)
	return 1 + float64(part*(on/(f.Duty*cycles)-1))
}

// on is for how many cycles switched light has been on after so many.
func (f *SourceFlicker) on(cycles float64) float64 {
	whole := math.Floor(cycles)
	return float64(whole*f.Duty) + math.Min(cycles-whole, f.Duty)
}

// stripSteps are the heights of a strip of characters, from dark to bright, the
// mean in the middle.
var stripSteps = []rune("▁▂▃▄▅▆▇")

// stripStep is what one of them stands for: ripple below half of it is not seen in
// the strip, nor in a picture.
const stripStep = 0.015

// Strip is the pattern in one line of characters.
func (p *Pattern) Strip() string {
	out := make([]rune, len(p.Values))
	for i, v := range p.Values {
		k := len(stripSteps)/2 + int(math.Round((v-1)/stripStep))
		out[i] = stripSteps[max(0, min(len(stripSteps)-1, k))]
	}
	return string(out)
}

// Patterns draws every flickering source of a cue over n rows.
func (c *CueFlicker) Patterns(n int) []*Pattern {
	out := make([]*Pattern, len(c.Sources))
	for i := range c.Sources {
		out[i] = c.Sources[i].Pattern(c.readout, c.fps, c.seconds, n)
	}
	return out
}
