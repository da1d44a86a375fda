// Package measuretest holds lights that are none, with a truth nobody is told, and a
// meter and a camera to find it out: for tests and for practice.
//
// A [Set] of [Light]s is a measure.Lamp. [Set.Meter] reads it as a hand meter would,
// [Set.Shoot] photographs the grey card it lights, noise, flicker and clipping
// included. The same seed gives the same readings.
//
// It refuses to know how readings are made into calibrations.
package measuretest
