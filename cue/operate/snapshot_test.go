package operate_test

import (
	"testing"

	"limn/cue"
)

// A hold is told at once: who acts on a snapshot must not have to wait for a frame.
func TestSnapshotTellsAHoldAtOnce(t *testing.T) {
	l := goLive(t, "", false)
	l.try("next")
	l.k++
	l.engine.Fill(l.k, l.out)
	l.try("hold")
	if s := l.snapshot(); s.Motion != cue.Held || s.K != l.k {
		t.Errorf("after hold it is %v", s.Motion)
	}
	l.try("resume")
	if s := l.snapshot(); s.Motion != cue.Fading {
		t.Errorf("after resume it is %v", s.Motion)
	}
}
