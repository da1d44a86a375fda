package baseline

import (
	"bufio"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"
)

// Clock is a frame clock of 44 Hz in C: clock_nanosleep to absolute deadlines, with real-time priority where rights allow.
type Clock struct{ path string }

// NewClock compiles it.
func NewClock(tb testing.TB) *Clock {
	tb.Helper()
	return &Clock{path: build(tb, "clock")}
}

// Run runs frames of the grid and tells for each that was not missed how late it began, and whether it had real-time priority.
func (c *Clock) Run(tb testing.TB, frames int64) (late []time.Duration, realTime bool) {
	tb.Helper()
	out, err := exec.Command(c.path, strconv.FormatInt(frames, 10)).Output()
	if err != nil {
		tb.Fatal(err)
	}
	lines := bufio.NewScanner(strings.NewReader(string(out)))
	lines.Scan()
	realTime = lines.Text() == "fifo"
	for lines.Scan() {
		n, err := strconv.ParseInt(lines.Text(), 10, 64)
		if err != nil {
			tb.Fatal(err)
		}
		late = append(late, time.Duration(n))
	}
	return late, realTime
}

// Busy starts processes that do nothing but compute; they end with the test, or with the benchmark.
func Busy(tb testing.TB, processes int) {
	tb.Helper()
	path := build(tb, "busy")
	for range processes {
		cmd := exec.Command(path)
		if err := cmd.Start(); err != nil {
			tb.Fatal(err)
		}
		tb.Cleanup(func() {
			_ = cmd.Process.Kill() // it has no other end
			_ = cmd.Wait()
		})
	}
}
