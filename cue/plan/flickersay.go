package plan

import (
	"fmt"
	"math"
	"strings"

	"limn/cue"
	"limn/cue/camera"
)

// judge words the verdict.
func (f *SourceFlicker) judge(fps float64) {
	if !f.Worst.Known() {
		f.Verdict, f.Say = Edge, fmt.Sprintf("%s: not known, needs %s", f.Name, f.Worst.Missing)
		return
	}
	worst := f.Worst.Value
	switch {
	case worst <= SeenRipple:
		f.Verdict, f.Say = Steady, fmt.Sprintf("%s: steady, %s cycles in an exposure leave %s", f.Name, significant(f.Cycles, 3), percent(worst))
		return
	case worst <= SafeRipple:
		f.Verdict = Edge
		f.Say = fmt.Sprintf("%s: at the edge, %s cycles in an exposure leave up to %s; look at flat backgrounds", f.Name, significant(f.Cycles, 3), percent(worst))
	default:
		f.Verdict = Banding
		f.Say = fmt.Sprintf("%s: frames differ by up to %s%s", f.Name, percent(worst), f.exact())
		if f.Bands.Known() && f.Bands.Value >= 1 {
			f.Say = fmt.Sprintf("%s: %s across the picture, up to %s deep%s", f.Name, f.Bands.Text, percent(worst), f.exact())
		}
	}
	if f.Crawl.Known() {
		if math.Abs(f.Crawl.Value) < 1e-9 {
			f.Say += "; they stand still, and are easy to miss live"
		} else {
			f.Say += fmt.Sprintf("; they crawl round %s", unit(2, "times a second")(f.Beat.Value))
		}
	}
	f.Say += "; " + f.cure(fps)
}

// exact says so where the shutter as written takes in whole cycles: only if it and
// the lamp's clock are exact.
func (f *SourceFlicker) exact() string {
	if f.Variation.Known() && f.Variation.Value < 1e-6 {
		return fmt.Sprintf(" (none if shutter and lamp are exact: %s whole cycles)", significant(f.Cycles, 3))
	}
	return ""
}

// cure says what makes it steady: a longer exposure, where the frame rate leaves
// one; at a frame rate an angle that takes in whole cycles; or a higher level.
func (f *SourceFlicker) cure(fps float64) string {
	var ways []string
	need := f.Worst.Value * f.Cycles / SafeRipple / f.Hertz
	if !(fps > 0) || need <= 1/fps {
		ways = append(ways, "open for "+Time(need)+" or longer")
	}
	if fps > 0 {
		whole := math.Max(1, math.Round(f.Cycles))
		if whole > f.Hertz/fps {
			whole = math.Floor(f.Hertz / fps)
		}
		if angle := 360 * fps * whole / f.Hertz; whole >= 1 && math.Abs(whole-f.Cycles) > wholeCycles {
			ways = append(ways, fmt.Sprintf("set %s°, which takes in %s", significant(angle, 4), cycles(whole)))
		}
	}
	if !f.Sine && f.Deepest.Known() && f.Deepest.Value > 0 {
		ways = append(ways, fmt.Sprintf("run it above %s and dim it with filters or distance", f.Deepest.Text))
	}
	if len(ways) == 0 {
		return "take another light, or run it from a supply that does not pulse"
	}
	return strings.Join(ways, ", or ")
}

// wholeCycles is how near a number of cycles counts as whole.
const wholeCycles = 1e-6

func cycles(n float64) string {
	if n == 1 {
		return "one whole cycle"
	}
	return fmt.Sprintf("%.0f whole cycles", n)
}

// mains lists the safe shutter angles.
func (c *CueFlicker) mains(s *cue.Shoot, l *lens) {
	mains := written(s.Camera.Mains.Hertz, `[camera] mains, as mains = "50 Hz"`)
	c.Angles = law{"angle = 360·fps·k/(2·mains)", "cinematographers' practice, and the arithmetic of whole pulses", "lamps that pulse at twice the mains"}.absent(
		"mains-angles", "mains-safe shutter angles", "", missingOf([]term{with("", l.fps), with("", mains)}))
	if c.Angles.Missing != "" {
		return
	}
	c.Safe, c.AnySafe = camera.MainsSafe(camera.MainsRate(l.fps.value), mains.value)
	c.Angles.Missing, c.Angles.Value = "", float64(len(c.Safe))
	c.Angles.Why.Formula = "flk-safe"
	c.Angles.Why.Inputs = []Input{{"fps", "1/s", "frame rate", l.fps.value}, {"mains", "Hz", "", mains.value}}
	words := make([]string, len(c.Safe))
	for i, a := range c.Safe {
		words[i] = significant(a, 4) + "°"
	}
	if len(words) > mostListed {
		words = append(words[:mostListed], "...")
	}
	c.Angles.Text = strings.Join(words, ", ")
	if c.AnySafe {
		c.Angles.Text += " (at this frame rate frames are alike at any angle, short ones still band)"
	}
}
