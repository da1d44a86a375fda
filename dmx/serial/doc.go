// Package serial carries one universe over a serial adapter: DMX512-A with a
// break timed by the host (ANSI E1.11), or the framed protocol of widgets that
// time the line themselves.
//
// A port belongs to one goroutine, because a write to a serial driver cannot be
// interrupted: when an adapter stalls, that goroutine is left to its port and
// the [Output] opens the port anew. Nothing else ever waits for it.
//
// The package refuses to know what slots mean and when frames are due.
package serial
