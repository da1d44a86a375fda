package pace

import "time"

// Clock is where the loop's time comes from. The machine's own is the default;
// a test hands in one that it moves.
type Clock interface {
	// Now is the time since some fixed instant; it never goes back.
	Now() time.Duration
	// SleepUntil returns at t or after it, at once when t has passed.
	SleepUntil(t time.Duration)
}
