//go:build !linux

package pace

// raise would give the calling thread a better scheduling; here is none to be had.
func raise() string { return plain }
