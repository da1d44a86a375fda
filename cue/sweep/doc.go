// Package sweep says what light stands at any azimuth of a turning table, from
// cues that stand at some of them.
//
//	s, err := sweep.New([]*cue.Resolved{bow, beam, stern}, centre)
//	s.At(52.5, state) // between bow and beam
//
// # How it lies between
//
// Light is a function of the azimuth alone, the same whichever way round the
// table comes and how fast. It is periodic, and exact at the cues, to the last bit.
//
// Between two lit cues luminance runs in stops, along the monotone cubic of Fritsch
// and Butland (SIAM J. Sci. Stat. Comput. 5, 1984: slopes are weighted
// harmonic means): it never leaves the range of its two neighbours, and its
// speed in stops has no step where one stretch passes into the next. Where one of the two is off it
// runs evenly in light, as stops would have no end. Chromaticity goes by the rules of package
// fade with the share of the angle: by default in mired where both are white,
// else along the straight line. The path is that of the cue at the counter-clockwise
// end of the stretch.
//
// # Units
//
// Azimuths are degrees of the table, counter-clockwise seen from above; light is XYZ in
// each source's own unit.
//
// # What it refuses to know
//
// Time: how the table gets anywhere is package motion's.
package sweep
