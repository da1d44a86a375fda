// Package fade says what lies between two lights: how luminance moves from one
// to the other (a [Curve]) and by what way its chromaticity goes (a [Path]).
//
// One rule serves all that lies between: a cue that follows another in time,
// and the cells of a strip between two points of a ramp. [New] compiles a
// [Fade] once; [Fade.At] answers for any share u of the way, exact at both ends,
// and allocates nothing.
//
// # Units
//
// Light is CIE 1931 XYZ, Y and all in any one unit. Shares run from 0 to 1.
//
// # What it refuses to know
//
// Time, frames, sources: what a share of the way is a share of.
package fade
