package timeline

import (
	"math"
	"testing"
)

// Made quicker on its way, a fade goes on from where it is and arrives sooner, at
// the very same light; the next cue fades at that pace too, dark does not.
func TestPace(t *testing.T) {
	s := three(0)
	p := s.player()
	p.Next(0)
	p.Next(100) // 0.4 to 0.2 in 88 frames
	if got := lum(p, 122, fine); !near(got, 0.35) {
		t.Fatalf("a quarter of the way: %g", got)
	}
	says(t, p.Pace(122, 2), false, "")
	if p.Tempo() != 2 {
		t.Error("the pace is not told")
	}
	for f, want := range map[int64]float64{122: 0.35, 133: 0.30, 144: 0.25, 155: 0.2, 156: 0.2} {
		if got := lum(p, f, fine); math.Abs(got-want) > 1e-8 { // cut to a millionth of a frame
			t.Errorf("frame %d: %.12f, want %g", f, got, want)
		}
	}
	if got := lum(p, 155, fine); got != lights[1].Y {
		t.Errorf("it ends at %g", got)
	}
	if st, _ := pictureStatus(p, 133); math.Abs(st.Progress-0.5) > 1e-9 {
		t.Errorf("half way: progress %g", st.Progress)
	}
	p.Next(300)
	if got := lum(p, 344, fine); got != lights[3].Y {
		t.Errorf("the next cue is at %g after half its time", got)
	}
	p.Dark(400)
	if got := lum(p, 422, fine); !near(got, lights[3].Y/2) {
		t.Errorf("dark is at %g after half a second", got)
	}
	says(t, p.Pace(422, 0.5), false, "")
	if got := lum(p, 422+88, fine); got != 0 {
		t.Errorf("dark at a quarter of the pace ends at %g", got)
	}
	says(t, p.Pace(600, 100), true, "16 times")
	says(t, p.Pace(600, 0.5), true, "already")
}
