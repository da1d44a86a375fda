package flash_test

import (
	"testing"

	"pgregory.net/rapid"

	"limn/cue"
	"limn/cue/flash"
	"limn/fixtures"
	"limn/fixtures/quantity"
)

// A plan is judged as the frames of its fades are, one by one.
func TestPlanAgainstFrames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := &cue.Shoot{Rig: &fixtures.Rig{Sources: []fixtures.Source{{Name: "sky", Full: 1000}, {Name: "horizon", Full: 400}}}}
		stays := rapid.SampledFrom([][]float64{{0.05, 0.1}, {0.1, 1.2}, {1, 2}}).Draw(t, "pace")
		for _, name := range []string{"a", "b", "c"} {
			r := cue.Resolved{Name: name}
			together := rapid.Bool().Draw(t, "together")
			lasts := rapid.SampledFrom([]float64{0, 0.05, 0.3}).Draw(t, "fade")
			for range 2 {
				l := cue.Light{Asked: white.XYZ(float64(rapid.IntRange(0, 8).Draw(t, "eighths")) / 8), Fade: lasts}
				if !together {
					l.Delay = rapid.SampledFrom([]float64{0, 0.1}).Draw(t, "delay")
				}
				r.Light = append(r.Light, l)
			}
			s.Cues, s.Resolved = append(s.Cues, cue.Cue{Name: name}), append(s.Resolved, r)
		}
		q := cue.Sequence{Name: "any", By: cue.ByTime}
		for range rapid.IntRange(1, 20).Draw(t, "steps") {
			stay := quantity.Duration{Seconds: rapid.SampledFrom(stays).Draw(t, "stay")}
			q.Steps = append(q.Steps, cue.Step{Cue: rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "cue"), Stay: &stay})
		}
		s.Sequences = []cue.Sequence{q}

		d := flash.New(flash.Rate, flash.Weights(s.Rig))
		light := levels(0, 0)
		d.Add(0, light)
		k, found := int64(1), false
		for _, step := range q.Steps {
			r := &s.Resolved[s.CueIndex(step.Cue)]
			from := append(light[:0:0], light...)
			arrives := 0.0
			for i, l := range r.Light {
				if from[i] != l.Asked {
					arrives = max(arrives, l.Delay+l.Fade)
				}
			}
			last := ceil(arrives)
			for at := int64(0); at <= last; at++ {
				for i, l := range r.Light {
					u := 1.0
					if seconds := float64(at) / flash.Rate; seconds < l.Delay {
						u = 0
					} else if seconds < l.Delay+l.Fade {
						u = (seconds - l.Delay) / l.Fade
					}
					light[i] = white.XYZ(from[i].Y + u*(l.Asked.Y-from[i].Y))
				}
				found = d.Add(k+at, light).Found || found
			}
			k += max(last+ceil(step.Stay.Seconds), 1)
		}
		faults := flash.Check(s)
		if (len(faults) > 0) != found {
			t.Fatalf("the plan has %v, its frames flash too often: %t", faults, found)
		}
		s.AllowFlashing = true
		for _, f := range flash.Check(s) {
			if !f.Warning {
				t.Fatalf("allowed, it is an error: %v", f)
			}
		}
	})
}

func ceil(seconds float64) int64 {
	k := int64(seconds * flash.Rate)
	for float64(k) < seconds*flash.Rate {
		k++
	}
	return k
}
