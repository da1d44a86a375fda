// Package dmx holds what travels: universes, frames, and the contract of an
// [Output] that carries them.
//
// A frame is 512 slots of 8 bits, as ANSI E1.11 (DMX512-A) has them. What a slot
// means, what a cue is and when a frame is due this package refuses to know; how a
// frame reaches a wire is the business of the packages below it.
package dmx
