// Package sacn is streaming ACN, ANSI E1.31-2018, over UDP: [Output] sends a shoot's universes, [Receiver] hears
// what anybody sends.
//
// Numbers. The wire counts universes 1..63999, as users do; an output adds the offset that it is given and
// nothing else. Sequence numbers run 0..255 and 0 is one of them, for each universe apart, and every destination of an
// output gets the same ones: a receiver that hears it twice drops the second. Priorities are 0..200, the highest wins.
// Times are durations on a monotonic clock, rates are packets a second.
//
// Sending is by multicast on one named interface, or unicast to the addresses that are named, never
// elsewhere. What cannot be sent is told in words and tried again within a second; what
// goes well elsewhere is not held up.
//
// Decoding checks every layer before it believes anything and keeps nothing of what it
// refused. What is remembered of senders is bounded, whatever arrives.
//
// It refuses to know what the slots mean, when a frame is due, and what a light does when it hears nobody.
package sacn
