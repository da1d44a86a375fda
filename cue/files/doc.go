// Package files reads and checks a shoot folder: rig.toml, the cues (cues.toml,
// or every *.toml of the folder cues, in the order of their names), the shoot's
// own profiles, and the calibrations that its sources name.
//
// [Load] is the one call. It reads everything before it complains: all faults
// of all files come together, each as a [tomlfile.Problem] with file, line and
// column, what is wrong and what would be right. What is merely doubtful is a
// warning. A shoot with a fault is not given out, so whoever holds a [cue.Shoot]
// from here can play it.
//
// Files are given as an [fs.FS], so that a shoot can be embedded. Nothing here
// writes, and nothing here knows how light reaches the wire.
package files
