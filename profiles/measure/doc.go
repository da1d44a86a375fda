// Package measure turns readings of lights into calibrations.
//
// A [Series] is what an instrument said of one light: each emitter alone at a few
// levels, the dark, the whole light as a reference between. [Series.Solve] takes the
// ambient light and the drift out, forces each response to rise, and gives a
// [Result]: the fixtures.Calibration, what is left over at each reading, an error
// budget, and findings in words, such as two readings that look exchanged.
//
// Readings come typed or from tables ([ReadTable]), from spectra ([FromSpectrum]),
// or from photographs of a grey card through a [Camera], which turns linear camera
// values into light by the lights it was shown.
//
// # Units
//
// Lux are those of the meter, or lumens against a reference light (Series.Relative).
// Levels are shares 0..1 of the highest code. Times are seconds since the light was
// switched on. Colours are CIE 1931 xy, colour errors CIE 1976 u'v', all other errors
// shares. Everything is arithmetic: the same readings give the same calibration.
//
// # Lights
//
// Who reads also wants the lights set. That is a [Lamp]: one call that shows one
// emitter of one source alone. The arithmetic never needs it; it is the seam at
// which a caller plugs in hands, a wire, or a synthetic light.
//
// # What it refuses to know
//
// Files, pictures, prompts, rigs and cues.
package measure
