//go:build !linux

package pace

// raise would give the calling thread a better scheduling; here is none to be had.
func raise() string { return plain }

// ordinary is raise without privilege.
func ordinary() string { return plain }
