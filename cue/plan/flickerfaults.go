package plan

import (
	"fmt"
	"strings"

	"limn/cue"
	"limn/cue/camera"
	"limn/fixtures"
)

// FlickerFaults are the warnings of a shoot's flicker: one for each source, where
// it is worst. It looks at every cue, and words only what it tells.
func FlickerFaults(s *cue.Shoot) []fixtures.Fault {
	var out []fixtures.Fault
	for j := range s.Rig.Sources {
		flicker := s.Flicker(j)
		if flicker.Hertz == 0 {
			continue
		}
		worst, at := SafeRipple, -1
		for i := range s.Resolved {
			r := &s.Resolved[i]
			if j >= len(r.Light) || !(r.Light[j].Asked.Y > 0) {
				continue
			}
			if ripple := rippleOf(flicker, r.Light[j].Asked.Y, exposureTime(s, &r.Camera)); ripple > worst {
				worst, at = ripple, i
			}
		}
		if at < 0 {
			continue
		}
		r := &s.Resolved[at]
		l := lensOf(s, &r.Camera)
		k := &reckoner{shoot: s}
		f := k.flickers(&SourceLight{Source: j, Name: s.Rig.Sources[j].Name, y: r.Light[j].Asked.Y}, &l)
		_, say, _ := strings.Cut(f.Say, ": ")
		out = append(out, fixtures.Fault{Origin: s.Rig.Sources[j].Origin, Warning: true, Cure: "see limn flicker", What: fmt.Sprintf("in cue %q, %q flickers: %s", r.Name, f.Name, say)})
	}
	return out
}

// rippleOf is the worst ripple of a light at a level, peak to peak over its mean.
func rippleOf(f fixtures.Flicker, level, seconds float64) float64 {
	if !(seconds > 0) {
		return 0
	}
	if f.Sine {
		swing, _ := camera.SineRipple(f.Depth, f.Hertz, seconds)
		return 2 * swing
	}
	duty := dutyOf(level, false)
	return camera.WorstPWM(duty, f.Hertz, seconds) * switched(f.Depth, duty)
}

// switched is the share of the mean that is switched, of light that does not go out
// altogether: of it (1-depth) is steady, 2·depth comes and goes.
func switched(depth, duty float64) float64 {
	return 2 * depth * duty / (1 - depth + 2*depth*duty)
}

// exposureTime is that of a cue, 0 where it is not known.
func exposureTime(s *cue.Shoot, c *cue.CameraChange) float64 {
	shutter, fps := s.Camera.Shutter, s.Camera.FPS
	if c.Shutter != nil {
		shutter = *c.Shutter
	}
	if c.FPS != nil {
		fps = *c.FPS
	}
	return shutter.Seconds(fps)
}
