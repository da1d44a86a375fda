// Package operate is the live shoot: the words an operator commands it with,
// and the [Engine] that the frame loop asks for frame after frame.
//
// [Parse] reads one command ("next", "trim sky up 1/3 stop"), [ParseProgram] many
// with their times ("0s next; 2.5s dark"); [Grammar] lists them all.
// [Engine.Do] carries a command out at the next frame, [Engine.DoAt] at a given
// one; [Engine.Fill] writes a frame's slots; [Engine.Snapshot] tells a screen what
// there is to see. [Trace] plays a program on a virtual clock, frame by frame.
//
// # One moment
//
// All that the commands so far have led to is one value, a moment: the shoot, its
// player, the trims that are set aside, what undo takes back, the question that
// stands, the sequence that runs. It is never changed once it stands; a command
// makes the next of it. So undo is an earlier balance given again, a journal is the
// commands with their frames ([Engine.Replay]), and what is queued or comes out of a
// sequence is worked out before it is due. What a sequence does by itself is a
// function of the commands given, and no command of its own.
//
// # Trims
//
// A trim is written at once in the user's own unit, rounded to what is printed,
// clipped to what the source gives, and played as that: so what is displayed is
// what is played and what will be kept. Trims stay with their cue. Coming back to it
// plays the kept light and offers them.
//
// # Files
//
// Commands that keep go through [files.Folder]: planned in memory, asked about where
// other cues would change, written as a whole or not at all, taken up by the
// running shoot. They are never carried out by the frame thread.
//
// Times are in seconds from frame 0 and act in the first frame that is not
// before them, on the timeline's grid of 44 frames a second. Levels of the whole
// set and trims are in stops, mired and Duv.
//
// It refuses to know how frames travel, when they are due, and what screens
// look like: cmd hands Fill to the send loop and snapshots to the screens.
package operate
