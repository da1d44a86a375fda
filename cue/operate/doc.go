// Package operate is the live shoot: the words an operator commands it with,
// and the [Engine] that the frame loop asks for frame after frame.
//
// [Parse] reads one command ("next", "go bow at dusk"), [ParseProgram] many with
// their times ("0s next; 2.5s dark"). [Engine.Do] carries a command out at the
// next frame, [Engine.DoAt] at a given one; [Engine.Fill] writes a frame's
// slots; [Engine.Snapshot] tells a screen what there is to see. [Trace] plays a
// program on a virtual clock, frame by frame.
//
// Times are in seconds from frame 0 and act in the first frame that is not
// before them, on the timeline's grid of 44 frames a second.
//
// It refuses to know how frames travel, when they are due, and what screens
// look like: cmd hands Fill to the send loop and snapshots to the screens.
package operate
