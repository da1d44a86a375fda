// Package steps runs a sequence by itself: which light, which picture and which movement comes
// next, and at which frame.
//
//	st := steps.New(sequence, shots, steps.Options{})
//	deed, k := st.Next(steps.Facts{K: now, SettledAt: status.SettledAt})
//	// at frame k: do it
//	st.Did(deed.Action, k)
//
// A [Stepper] is a state machine without a clock. By time, each light rests for its stay once it has
// settled. By frame, each light settles, its picture is taken, and the next follows; what fails pauses
// with the light as it is. By angle, the table goes to its start, waits for "rolling?", turns with
// the light following it, and holds its end until the cut; then, if asked for, it goes back. A table
// driven by motor never moves to a mark before the operator has confirmed that fingers and cables are clear.
//
// # Units
//
// Time is frames of the one grid; durations become frames by Options.Frames.
//
// # What it refuses to know
//
// Light, slots, cameras: it names deeds, others do them.
package steps
