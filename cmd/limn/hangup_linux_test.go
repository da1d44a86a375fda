package main

import (
	"errors"
	"syscall"
	"time"
)

// hungUp says that nobody has a pseudo-terminal open just now, and waits a moment.
func hungUp(err error) bool {
	if !errors.Is(err, syscall.EIO) {
		return false
	}
	time.Sleep(time.Millisecond)
	return true
}
