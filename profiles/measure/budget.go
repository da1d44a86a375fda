package measure

import "limn/fixtures/fit"

// Term is one independent part of an error.
type Term struct {
	Name string
	Size float64 // a share; of colours Δu'v'
}

// Terms are what an instrument and its handling add to the error, as shares.
type Terms struct {
	Class     float64 // of the meter as a whole
	Cosine    float64 // the receiver's answer to slanting light
	Placement float64 // putting meter or card back on its mark
	Flat      float64 // of a camera: one part of the picture against another
	Repeat    float64 // one reading against the next
	Colour    float64 // Δu'v' of the instrument
}

// MeterTerms are those of a hand meter of class B (5 % in all, CIE S 023 and DIN
// 5032-7) on a marked place; the rest is common practice, no source.
func MeterTerms() Terms {
	return Terms{Class: 0.05, Cosine: 0.02, Placement: 0.01, Repeat: 0.005, Colour: 0.003}
}

// CameraTerms are those of a camera that was shown known lights: what it does to all
// lights alike is taken out (common practice, no source).
func CameraTerms() Terms {
	return Terms{Placement: 0.01, Flat: 0.01, Repeat: 0.002}
}

// Budget is how far the results may be off, by cause.
type Budget struct {
	Lux    []Term // of lux at full
	Level  []Term // of the share of full that a code gives
	Colour []Term // of chromaticity at full, Δu'v'
}

// Sum adds independent terms: the root of the sum of squares.
func Sum(terms []Term) float64 {
	sizes := make([]float64, len(terms))
	for i, t := range terms {
		sizes[i] = t.Size
	}
	return fit.RootSum(sizes)
}

// add leaves out what is nothing.
func add(terms []Term, name string, size float64) []Term {
	if size > 0 {
		return append(terms, Term{name, size})
	}
	return terms
}
