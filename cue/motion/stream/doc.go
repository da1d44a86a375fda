// Package stream reads the azimuths that a turning table tells: lines of text from a reader
// (standard input, a serial line), or the same in datagrams.
//
//	35.21
//	{"azimuth": 35.21, "t": 12.375}
//
// A line is a number of degrees, or a JSON object whose azimuth is one; t is the table's own time in seconds,
// and what else the object holds is passed over. Azimuths are brought into 0..360. What is no
// azimuth, too long, nan or infinite is counted and otherwise ignored: a stream never moves light by a slip.
//
// Datagrams are heard from this computer alone unless the caller asks for more: whoever can send one
// turns the light.
//
// # Units
//
// Degrees counter-clockwise seen from above, seconds.
//
// # What it refuses to know
//
// Frames and light; package motion follows what is heard. It is the one room here that opens
// sockets, and nothing that plays imports it.
package stream
