// Package flash counts flashes: light that goes up and down so often that it can
// trigger seizures in people who are photosensitive.
//
// # The rule
//
// Taken from W3C WCAG 2.2, "general flash and red flash thresholds", which ITU-R BT.1702
// words alike. A general flash is a pair of opposing changes of relative luminance of 10 % or more
// of the maximum, where the darker state is below 0.80. A red flash is a pair of opposing changes
// to and from a saturated red: R/(R+G+B) of linear sRGB is 0.8 or more in one of the two states, and they
// lie more than 0.2 apart in CIE 1976 u'v'. More than three of either in any one second is too many. A
// second is half open: changes exactly one second apart are not in the same one. Three and a half flashes,
// seven changes, are more than three.
//
// That rule is for screens, and lets small areas flash. Here every light counts as filling the view: one
// panel is reflected in the whole of a glossy hull. Each source is judged against its own
// maximum, and all of them together against theirs, weighed by their lux. A cut counts as any other change.
//
// Two things the rule leaves open: a dark state has the chromaticity of white (so red from and
// to dark counts), and a red whose R-G-B is 1/16 of full or less counts as
// dark, as in the older formula of WCAG 2.0, (R-G-B) x 320 > 20.
//
// It warns of what is known to be dangerous. That it is silent does not make light safe.
//
// # Units
//
// Light is XYZ, Y = 1 the maximum. Time is frames on a grid of so many a second.
//
// # What it refuses to know
//
// Clocks, and who may overrule it.
package flash
