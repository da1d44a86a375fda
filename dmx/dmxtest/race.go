//go:build race

package dmxtest

// Race says that the race detector is on: it makes sync.Pool forget at random, so
// that allocations cannot be counted where a library uses one.
const Race = true
