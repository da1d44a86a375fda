// Package timeline is the player: it says what light a shoot's cues and the
// commands given so far make at frame k.
//
// A [Player] is a pure function. Commands carry the frame they act in; [Player.At]
// answers for any frame from the last command on, again and again and in any
// order, always the same. It has no clock, does no I/O and starts no goroutine.
//
// Everything asked of the light is one value, [Layers]: the present cue and what is
// laid over it live. A command makes another of it and gives it to [Player.Set];
// the named commands (Next, Dark and so on) do no more. So undo is an earlier
// value, and resume and replay are the same commands again. Looks and trims make
// the scene, composed by cue; over it lie masks: sources alone, taken out, aimed
// or swelling, the level of the whole set, dark, and above all the work light. Masks
// scale and hide, cell by cell on strips, and never move the table.
//
// # Units
//
// Frames are counted on one grid of [Rate] a second from 0. Light is
// colour.XYZ in the source's own unit (Y = 1 the most it gives at any colour),
// asked, not yet projected to what the source can make: the renderer does that
// frame by frame. Angles are degrees, counter-clockwise seen from above.
//
// # How a change runs
//
// A command changes what is asked and starts one change for each source: from
// the light of that instant to the asked light, after a delay, by a curve and
// along a path. A command in the middle of a change therefore never jumps; a fade
// of 0 is a cut. A source whose light does not change is left alone, to the last
// code, and one that is fading to where it is asked to be anyway fades on: a trim
// in a long fade takes along nothing but what it trims.
//
// A strip whose cells differ, before a change or after it, changes cell by cell;
// a plain light is one whose cells are alike. Once a strip has landed on a plain
// light it is told as one again.
//
// Two kinds of light move on by themselves. A source that is identified swells, two
// seconds a swell, far below the rate at which light counts as flashing. Light
// may follow the table ([Player.Drive]): it fades into what a [Sweep] gives at the
// azimuth of each frame, which a [Motion] knows ahead or [Player.Azimuth] is told.
// Both keep the moving rule; a motion's end is known, and is landed on.
//
// A shoot read anew ([Player.Reload]) takes over what is the same by name. Where a
// light is another make now, its change starts from what its slots mean by the new
// one, so that not even slots jump.
//
// # The table
//
// A motor table turns as package motion says: within the limits of the shoot, the
// play of its gears taken up from one side, never before somebody has confirmed where it
// stands, and never while hands are needed. Dark, a hold and a call for hands stop it at once, where
// it is; it starts again from rest.
//
// # Landing
//
// A settled frame is rounded by the still rule, a moving one by the moving
// rule; where eight bits make them differ, the light walks from one to the
// other, one code a control a frame: away from the old landing while the new
// fade runs, onto the new one once the light has arrived. The distance is
// computed when a command is accepted ([Player.Prepare] does it ahead), never
// on the frame path. A cue played as it was sent once ([Sent]) lands on those very
// slots. A cue is settled when its last code has landed, the lights' own smoothing
// is over, the table stands and no hands are needed.
//
// # What it refuses to know
//
// Files, words of commands, seconds of the wall, sockets; slots, but for those that
// a cue is to give again, and those that a reload must not move.
package timeline
