// Package serial carries one universe over a serial adapter: DMX512-A with a
// break timed by the host (ANSI E1.11), or the framed protocol of widgets that
// time the line themselves.
//
// [Find] lists the ports of a machine and says what their USB ids mean, [Probe] asks one what it is. An [Output]
// opens the port it is told, or finds the adapter by its ids or its serial number, and finds it
// again under whatever name it comes back with. It looks only while it has no port: while all is well nothing is enumerated.
//
// A port belongs to one goroutine, because a write to a serial driver cannot be
// interrupted: when an adapter stalls, that goroutine is left to its port and
// the [Output] opens the port anew. Nothing else ever waits for it.
//
// The package refuses to know what slots mean and when frames are due.
package serial
