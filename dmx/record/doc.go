// Package record writes what was heard on a network to a text, and reads it back: an open form that any
// program can make and use.
//
// A recording is JSON, one object a line, UTF-8. The first line says what it is:
//
//	{"recording":"dmx","version":1,"started":"2026-05-04T09:30:00Z"}
//
// Each further line is one packet of levels:
//
//	{"t":0.022727,"protocol":"artnet","universe":1,"source":"10.0.0.9:6454","slots":"ff00c8"}
//	{"t":0.045454,"protocol":"sacn","universe":1,"source":"10.0.0.9:5568","name":"desk","priority":100,"slots":"ff00c8"}
//
// t is in seconds since the beginning, to the microsecond, and never goes back. universe is the number on the wire: a
// Port-Address, 0..32767, for artnet, 1..63999 for sacn. source is whoever sent it, in
// whatever form; name and priority (0..200) are sACN's. slots are the values from slot 1 on, 1..512 of
// them, two hexadecimal digits each. Members that are not known are passed over, so that
// the form can grow.
//
// Reading believes nothing: lines, fields and numbers are bounded, and what is wrong is named with its line. The
// package refuses to know what slots mean and where they go.
package record
