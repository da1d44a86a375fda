package flash

import (
	"fmt"
	"math"

	"limn/cue"
	"limn/cue/fade"
	"limn/cue/sweep"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// Rate is the grid on which planned sequences are judged, frames a second: that on which they are played.
const Rate = 44

// The bounds of judging a plan. What lies beyond them a running Detector still sees.
const (
	maxFadeFrames = 60 * Rate // of one step: slower changes are no flashes
	maxPlanned    = 1_000_000 // frames of one sequence
)

// Weights are the weights of a shoot's sources for New: their lux at the most.
func Weights(rig *fixtures.Rig) []float64 {
	w := make([]float64, len(rig.Sources))
	for i := range w {
		w[i] = rig.Sources[i].Full
	}
	return w
}

// Check judges the sequences of a resolved shoot that run by themselves at a speed known before: by time, and by
// angle with a speed. Those that flash too often are errors at the step where they do; with
// AllowFlashing they are warnings with the caution. Sequences by frame go as fast as pictures are taken, which
// is for a running Detector to judge.
func Check(s *cue.Shoot) []fixtures.Fault {
	var out []fixtures.Fault
	for i := range s.Sequences {
		q := &s.Sequences[i]
		f, step := planned(s, q)
		if !f.Found {
			continue
		}
		name := ""
		if f.Source != Together {
			name = s.Rig.Sources[f.Source].Name
		}
		fault := fixtures.Fault{
			Origin: q.Steps[step].Origin, What: f.Say(name) + " here, which can trigger seizures",
			Cure: "make fades or stays longer; or warn everyone present and write allow-flashing = true at the top of rig.toml",
		}
		if q.By == cue.ByAngle {
			fault.Origin = q.Origin
			fault.What = f.Say(name) + fmt.Sprintf(" at %g deg/s, which can trigger seizures", math.Abs(q.Turning.Speed))
			fault.Cure = "turn slower; or warn everyone present and write allow-flashing = true at the top of rig.toml"
		}
		if s.AllowFlashing {
			fault.Warning, fault.Cure = true, "warn everyone present and get consent before running it"
		}
		out = append(out, fault)
	}
	return out
}

// planned judges one sequence; step is where it was too much.
func planned(s *cue.Shoot, q *cue.Sequence) (f Finding, step int) {
	if q.By != cue.ByTime && (q.By != cue.ByAngle || q.Turning.Speed == 0) {
		return f, 0
	}
	shots, err := s.Expand(q)
	if err != nil {
		return f, 0 // told elsewhere
	}
	if q.By == cue.ByTime {
		return byTime(s, shots)
	}
	return byAngle(s, q, shots), 0
}

// byTime plays the steps from dark, frame by frame where light changes.
func byTime(s *cue.Shoot, shots []cue.Shot) (Finding, int) {
	d := New(Rate, Weights(s.Rig))
	centre := s.Camera.White.XY().UV()
	light := make([]colour.XYZ, len(s.Rig.Sources))
	fades := make([]fade.Fade, len(light))
	k, judged := int64(1), int64(0)
	d.Add(0, light)
	for n, shot := range shots {
		to := s.Resolved[shot.Cue].Light
		arrives := 0.0
		for i := range fades {
			fades[i] = fade.New(to[i].Curve, to[i].Path, light[i], to[i].Asked, centre)
			if light[i] != to[i].Asked {
				arrives = max(arrives, to[i].Delay+to[i].Fade)
			}
		}
		lasts := frames(arrives)
		judge := min(lasts, maxFadeFrames)
		if calm(s, shots, n-1) && calm(s, shots, n) && calm(s, shots, n+1) {
			judge = -1
		}
		for at := int64(0); at <= judge; at++ {
			if judged++; judged > maxPlanned {
				return Finding{}, 0
			}
			for i := range light {
				light[i] = fades[i].At(share(float64(at)/Rate, to[i].Delay, to[i].Fade))
			}
			if f := d.Add(k+at, light); f.Found {
				return f, shot.Step
			}
		}
		for i := range light {
			light[i] = to[i].Asked
		}
		if f := d.Add(k+lasts, light); f.Found {
			return f, shot.Step
		}
		k += max(lasts+frames(shot.Stay), 1)
	}
	return Finding{}, 0
}

// calm says that a step needs no look frame by frame, if those beside it need none: it takes a second or
// more, and all sources change together, so that each of them and all together go one way. Two such steps
// meet in any one second, with at most two changes of luminance and four of red. Most of a
// long sequence is calm, and a shoot is to be read in the time its files take.
func calm(s *cue.Shoot, shots []cue.Shot, n int) bool {
	if n < 0 || n >= len(shots) {
		return true
	}
	light := s.Resolved[shots[n].Cue].Light
	if len(light) == 0 {
		return true
	}
	first := &light[0]
	if first.Curve == fade.Stops || first.Delay+first.Fade+shots[n].Stay < 1 {
		return false
	}
	for i := range light {
		if l := &light[i]; l.Delay != first.Delay || l.Fade != first.Fade || l.Curve != first.Curve {
			return false
		}
	}
	return true
}

// share is how much of a fade is over t seconds after it was called.
func share(t, delay, lasts float64) float64 {
	switch {
	case t < delay:
		return 0
	case t >= delay+lasts:
		return 1
	}
	return (t - delay) / lasts
}

func frames(seconds float64) int64 { return int64(math.Ceil(max(seconds, 0) * Rate)) }

// fewKnots is how many cues may pass within a second without any source changing its sense often enough. All
// together may turn between cues too, as some rise while others fall; no more often than there
// are cues and bends between them, so half as many are let pass unseen.
const fewKnots = MaxFlashes

// byAngle turns the table through all cues, and on for a second.
func byAngle(s *cue.Shoot, q *cue.Sequence, shots []cue.Shot) Finding {
	cues := make([]*cue.Resolved, len(shots))
	for i := range shots {
		cues[i] = &s.Resolved[shots[i].Cue]
	}
	sw, err := sweep.New(cues, s.Camera.White.XY().UV())
	if err != nil {
		return Finding{} // told elsewhere
	}
	// Each source goes one way from cue to cue: where few cues pass in a second, it cannot flash.
	speed := math.Abs(q.Turning.Speed)
	first := s.FirstMark(q)
	travel := math.Abs(q.Turning.Travel(first))
	d := New(Rate, Weights(s.Rig))
	light := make([]colour.XYZ, len(s.Rig.Sources))
	sense := math.Copysign(1, q.Turning.Speed)
	last := min(frames(min(travel, 360+speed)/speed), maxPlanned)
	if densest(sw.Knots(), speed) <= fewKnots {
		return Finding{}
	}
	for k := range last + 1 {
		sw.Light(first+sense*float64(k)/Rate*speed, light)
		if f := d.Add(k, light); f.Found {
			return f
		}
	}
	return Finding{}
}

// densest is the most azimuths, of some that rise within 0..360, in a stretch so wide.
func densest(knots []float64, wide float64) int {
	most, j := 0, 0 // j knots from the first on lie within reach, the turn counted on
	for i := range knots {
		for j < i+len(knots) && knots[j%len(knots)]+360*float64(j/len(knots))-knots[i] <= wide {
			j++
		}
		most = max(most, j-i)
	}
	return most
}
