// Package motion says where a motor table is at any instant of a movement: a trapezoid of
// speed within the table's limits, arriving exactly, the play in its gears taken up
// from one side.
//
//	m := motion.To(35, 80, limits)      // by the shorter way, standing at 35
//	azimuth, speed := m.At(1.5)         // seconds after it began
//	stop := m.Stop(1.5)                 // leave off as gently as the limits say
//
// A [Move] is a pure function of the seconds since it began: continuous in azimuth and
// speed, at rest at its end. A [Shot] is a moving shot: the way to its first mark, the
// run through it at constant speed, and the way back.
//
// # Backlash
//
// A table with play stands where its motor says only when it was pushed there from the side it is always pushed from.
// Every movement therefore ends in the same sense; one that comes from the other side goes
// twice the play beyond and returns (common practice, no source).
//
// # Units
//
// Azimuths are degrees, counter-clockwise positive, not brought into 0..360: two turns are 720.
// Speeds are degrees a second, times seconds.
//
// # What it refuses to know
//
// Frames, slots, light. A movement knows nothing of fingers and cables: who starts one asks first.
package motion
