package timeline

import (
	"math"
	"slices"
	"strings"
	"testing"

	"limn/cue"
	"limn/cue/motion"
	"limn/fixtures/colour"
)

// Light follows the table, lands on its last azimuth by the still rule, and hands
// over by one code a frame; the table is told what the motion says.
func TestDrive(t *testing.T) {
	s := written[1]()
	p, k := called(t, s, 0)
	m := evenly{from: 0, speed: 20, end: 200}
	says(t, p.Drive(k, swaying, m, Timing{Fade: 1}), false, "fingers")
	row := p.NewState()
	for f := k; f < k+200; f++ {
		now, st := pictureOf(p, f)
		if want := around360(m.Azimuth(f - k)); now.Azimuth != want || now.Speed != 20 {
			t.Fatalf("frame %d: the table is told %g° at %g°/s, want %g°", f, now.Azimuth, now.Speed, want)
		}
		if st.Motion != cue.Fading {
			t.Fatalf("frame %d: %+v", f, st)
		}
		if f < k+44 {
			continue
		}
		swaying.At(now.Azimuth, row)
		if !slices.Equal(now.Light, row.Light) || !slices.Equal(now.Cells[strip], row.Cells[strip]) {
			t.Fatalf("frame %d: the light does not follow", f)
		}
		for i := range now.Offset { // what was landed on before is left, one code a frame
			if slices.ContainsFunc(now.Offset[i], func(c int) bool { return c != 0 }) && f > k+150 {
				t.Fatalf("frame %d: source %d is off the moving rule", f, i)
			}
		}
	}
	st, now := pictureStatus(p, k+200)
	if now.Speed != 0 || now.Azimuth != around360(m.Azimuth(200)) {
		t.Errorf("there, it is told %g° at %g°/s", now.Azimuth, now.Speed)
	}
	end := st.SettledAt
	got, _ := s.render(p, end)
	is(t, p, end, 0, cue.Settled)
	swaying.At(m.Azimuth(200), row)
	for i := range torch {
		var cells []colour.XYZ
		if len(row.Cells[i]) > 0 {
			cells = row.Cells[i]
		}
		want := s.landings.of(i, row.Light[i], cells)
		now, _ = pictureOf(p, end)
		if have := now.Offset[i]; want != nil && !slices.Equal(have, want) || now.Light[i] != row.Light[i] || !slices.Equal(now.Cells[i], row.Cells[i]) {
			t.Errorf("source %d lands at %v with %v, want %v with %v", i, now.Light[i], have, row.Light[i], want)
		}
	}
	// Masks hold over it; calling a cue ends it.
	p.Set(end, with(p, func(l *Layers) { l.Without = []int{sky} }), Timing{Fade: 1})
	p.Set(end+100, with(p, func(l *Layers) { l.Without = nil }), Timing{Fade: 1})
	again, _ := s.render(p, end+400)
	if !slices.Equal(got, again) {
		t.Error("taken out and put back, it gives other bytes")
	}
	p.Go(end+500, 0)
	now, _ = pictureOf(p, end+510)
	if now.Speed == 0 {
		t.Error("the table does not come back to the cue's angle")
	}

	says(t, p.Drive(end+520, swaying, evenly{100, 20, 10}, Timing{}), true, "the move begins at 100°")
	says(t, p.Drive(end+520, swaying, nil, Timing{}), true, "cannot come from outside")
	says(t, s.player().Drive(0, swaying, m, Timing{}), true, "no cue has been called")
	p.Dark(end + 530)
	says(t, p.Drive(end+531, swaying, m, Timing{}), true, "it is dark")
}

// A movement of package motion is followed to its last degree.
func TestDriveByMove(t *testing.T) {
	s := written[1]()
	p, k := called(t, s, 0)
	m := ByMove(motion.By(0, -33.3, motion.Limits{Speed: 10, Accel: 5}, false))
	if m.End() != 235 { // 4 s and 13.3° at 10°/s: 5.33 s
		t.Errorf("it ends at frame %d", m.End())
	}
	p.Drive(k, swaying, m, Timing{Fade: 1})
	for f, want := range map[int64]float64{0: 0, 44: -2.5, 88: -10, 235: -33.3, 999: -33.3} {
		if now, _ := pictureOf(p, k+f); math.Abs(cue.Turn(now.Azimuth, want)) > 1e-9 {
			t.Errorf("frame %d: %g°, want %g°", f, now.Azimuth, want)
		}
	}
	last, _ := pictureOf(p, k+235)
	row := p.NewState()
	swaying.At(-33.3, row)
	if d := farthest(last.Light[:torch], row.Light[:torch]); d > 1e-12 || last.Speed != 0 {
		t.Errorf("at its end the light is %g off, the speed %g", d, last.Speed)
	}
}

// Dark in a move stops it, and coming back does not turn the table by itself.
func TestDarkEndsAMove(t *testing.T) {
	s := written[1]()
	p, k := called(t, s, 0)
	p.Drive(k, swaying, evenly{0, 20, 400}, Timing{Fade: 1})
	says(t, p.Dark(k+88), false, "the move is over")
	at, _ := pictureOf(p, k+88)
	p.DarkOff(k + 300)
	p.Set(k+400, p.Layers().WithTrims(map[int]cue.Entry{sky: lit("20 %", "")}), Timing{})
	now, _ := pictureOf(p, k+900)
	if at.Azimuth != 40 || now.Azimuth != 40 || now.Speed != 0 {
		t.Errorf("stopped at %g°, it is told %g° at %g°/s", at.Azimuth, now.Azimuth, now.Speed)
	}
}

// An azimuth told from outside leads the light without steps; within the dead band
// it stays, and when nothing is heard it stands and says so.
func TestStreamedAzimuth(t *testing.T) {
	const stale = int64(motion.StaleAfter * Rate)
	s := written[0]()
	p, k := called(t, s, 0)
	says(t, p.Azimuth(k, 10), true, "no light follows")
	p.Drive(k, swaying, nil, Timing{Fade: 0.5})
	for n := range int64(100) {
		says(t, p.Azimuth(k+4*n, float64(n)), false, "")
	}
	last := k + 4*99
	st, now := pictureStatus(p, last+4)
	if math.Abs(now.Azimuth-99) > 1e-9 || st.Stale || st.SettledAt >= 0 || st.Motion != cue.Fading {
		t.Errorf("led to %g°: %+v", now.Azimuth, st)
	}
	one := now.Light[sky]
	p.Azimuth(last+8, 99.04)
	if _, now = pictureStatus(p, last+20); now.Light[sky] != one {
		t.Error("the dead band moves the light")
	}
	st, _ = pictureStatus(p, last+8+stale)
	lost, still := pictureStatus(p, last+8+stale+1)
	if st.Stale || !lost.Stale || still.Light[sky] != one {
		t.Errorf("after half a second: %v, %v", st.Stale, lost.Stale)
	}
	p.Azimuth(last+100, 120)
	if _, now = pictureStatus(p, last+100); math.Abs(now.Azimuth-99) > 1e-9 {
		t.Errorf("heard again it jumps to %g°", now.Azimuth)
	}
	if _, now = pictureStatus(p, last+100+stale); math.Abs(now.Azimuth-120) > 1e-9 {
		t.Errorf("half a second later it is at %g°", now.Azimuth)
	}
	says(t, p.Azimuth(last+100, math.NaN()), true, "no azimuth")
	p.Go(last+200, 0)
	if got := strings.Join(p.Prompts(), "; "); !strings.Contains(got, "from 120° to 0°") {
		t.Errorf("the cue then prompts %q", got)
	}
}
