package timeline

import "math"

// Rate is the number of frames a second of the one grid everything runs on.
const Rate = 44

// A span is a stretch of time counted in 1/44 of a microsecond, so that both a
// frame (a million of them) and a written duration (44 to the microsecond)
// are whole numbers: where a fade begins and ends never depends on how a
// fraction rounds.
type span int64

const (
	spansPerFrame       span = 1_000_000
	spansPerMicrosecond span = Rate

	// maxSeconds bounds a duration (about 30 years) and maxFrames a count of
	// frames, so that no sum of spans overflows.
	maxSeconds = 1e9
	maxFrames  = int64(1) << 42
)

// seconds is a written duration as a span; what is no duration counts as none.
func seconds(s float64) span {
	if !(s > 0) {
		return 0
	}
	return span(math.Round(float64(min(s, maxSeconds)*1e6))) * spansPerMicrosecond
}

// at is a span gone through so many times as fast.
func (s span) at(pace float64) span { return span(math.Round(float64(s) / pace)) }

// frames is a count of frames as a span.
func frames(n int64) span { return span(min(max(n, 0), maxFrames)) * spansPerFrame }

// floor is the last frame at which no more than s has passed.
func (s span) floor() int64 { return int64(s / spansPerFrame) }

// ceil is the first frame at which all of s has passed.
func (s span) ceil() int64 { return int64((s + spansPerFrame - 1) / spansPerFrame) }

// Frames is the number of frames after which a duration in seconds is over.
func Frames(s float64) int64 { return seconds(s).ceil() }
