// Package capture has pictures taken: by a person, who is told what to do and confirms, or by an
// external command that the caller gives.
//
//	c := capture.Command("./fire.sh", capture.Options{Timeout: 30 * time.Second})
//	err := c.Take(ctx, capture.Picture{Cue: "bow", Name: "harbour-0001-bow"})
//
// The command comes from who starts the program, never from a file of the shoot: a folder that was
// sent by somebody must not run anything. It is run by the system's shell, with what is to be
// known of the picture in its environment:
//
//	LIMN_NAME      suggested name for the picture's files, without extension
//	LIMN_SEQUENCE  name of the sequence
//	LIMN_CUE       name of the cue
//	LIMN_ANGLE     azimuth of the table in degrees; empty = the cue has none
//	LIMN_STEP      number of the picture, from 1; LIMN_STEPS how many there are
//	LIMN_TAKE      number of the take, from 1
//	LIMN_FRAME     frame of the cue, from 1
//	LIMN_EXPOSURE  exposure of the very same, from 1
//	LIMN_FOCUS     distance from the sensor mark in metres; empty = as it is set
//	LIMN_PASS      source that is lit alone, "all" of the last pass; empty = there are no passes
//	LIMN_IMAGE     number of the camera's image; empty = not told
//
// It has taken the picture when it ends with status 0. Otherwise, or after its time-out, the last line it
// wrote to standard error is the reason. It and all it started is ended at the time-out and when the context is.
//
// # Units
//
// Metres, degrees counter-clockwise seen from above.
//
// # What it refuses to know
//
// Light. Take blocks until the picture is taken: it is never called where frames are made.
package capture
