// Package pace is the send loop: one locked thread that asks for a frame [Rate]
// times a second and hands it to the outputs, each with a goroutine of its own.
//
// # The grid
//
// Frame k is due at t0 + k/44 s, in integer nanoseconds ([Offset]), on the
// machine's monotonic clock. Deadlines are absolute, never summed up from "now",
// so the grid does not drift. A frame whose time has passed is skipped, never
// queued: a fade follows the clock, not the number of frames sent. 44 a second
// is also the most that a line with 512 slots can carry (ANSI E1.11: 92 + 12 + 513*44
// microseconds), and the most an Art-Net node or an sACN receiver need take.
//
// # What is sent
//
// A changed frame at once, then three more times, then again every
// [Config].KeepAlive while nothing changes. That is the rule of ANSI E1.31-2018, 6.6.2
// (800..1000 ms); Art-Net recommends the same interval, and a DMX512-A line must be
// refreshed at least once a second. An output whose last Send failed is
// offered every frame, so that its light is back as soon as it is.
//
// # Whom a slow output hurts
//
// Itself. The loop leaves the latest frame in a mailbox with one slot and goes
// on; what the output was too slow to take is overwritten and counted as dropped.
//
// # What it refuses to know
//
// What a frame means, where it comes from, what an output does with it.
package pace
