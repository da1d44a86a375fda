// Package cue is the domain: the shoot with its subject, camera, angles, looks,
// cues and sequences; how a cue resolves into light; and the words that tell
// hands what to do on the set.
//
// A [Shoot] holds what was written, part by part. [Shoot.Resolve] turns every
// [Cue] into a [Resolved]: the complete light of one angle, in which nothing is
// inherited any more. [Shoot.Compose] does the same for one cue with what is laid
// over it live, [Shoot.Mirror] makes its twin on the other side of the model, and
// [Shoot.Hands] words what people must do to get from one set to another.
//
// # How a cue resolves
//
// First the cue it comes from, fully resolved with its looks: light, cards,
// angle, camera and timing, not the name. Then its own looks, in order. Then its
// own entries, key by key. A source nobody names is off. An [Exception] goes over
// the look it names wherever that lies on the cue, or on one that comes from it.
//
// Levels become light at the end, once for each cue: percent and stops below
// full are shares of the most the source gives at the colour they were written
// for, lux and stops against the key go through the meter reading full. A look
// that changes only the colour holds the light: the luminance stays what it was.
// A cue's own entry that changes only the colour does not; there "80 %" goes on
// to mean 80 % of the most at the new colour.
//
// A [Ramp] lies over the level and colour of its entry: a point without one of them
// has that of the source as it would be without the ramp. Its levels count as those
// of the whole strip, its lux are the mean of the cells. Over a ramp, an entry's
// level or colour goes for every point (a look's colour holds the luminance of
// each), a change of level moves all of them, both level and colour make the strip
// plain, and another ramp takes its place.
//
// # What is laid over a cue live
//
// An [Over] is looks laid on by hand, with the exceptions that hold for the cue,
// and over them trims. A trim is an entry in the user's own unit, and plays what
// [Shoot.Entries] would write for it: keeping a trim never changes the light. One
// that changes only the colour holds the luminance, to the step in which its level is
// printed. Levels against the key follow a trim of the key.
//
// # Units
//
// Light is CIE 1931 XYZ in the source's own unit: Y = 1 is the most the source
// can give at any colour. Lux are those at the aim point, the axis of the table
// at half the subject's height. Angles are in degrees, seen from above, positive
// counter-clockwise; table 0 is bow toward the camera, place azimuth 0 is toward
// the camera and 90 is camera right. Times are in seconds.
//
// # What it refuses to know
//
// Files, sockets, clocks. It does not know how a shoot was read nor who plays it.
package cue
