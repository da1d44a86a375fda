package plan

import (
	"fmt"
	"math"

	"limn/cue"
	"limn/cue/camera"
)

// What of a ripple is seen, peak to peak over the mean (common practice, no source).
const (
	SeenRipple = 0.01 // in flat backgrounds, from about here on
	SafeRipple = 0.02 // frames and rows that differ by less are taken for alike
)

// Verdict is how bad flicker is.
type Verdict string

// The verdicts, from good to bad.
const (
	Steady  Verdict = "steady"
	Edge    Verdict = "at the edge" // flat backgrounds may show it
	Banding Verdict = "bands"       // frames, or rows of one, differ
)

// Flicker is what the lights' own flicker does in each cue's frames.
type Flicker struct {
	Name  string
	Cues  []CueFlicker
	Notes []string
}

// CueFlicker is one cue at the camera's shutter.
type CueFlicker struct {
	Cue      int
	Name     string
	Settings string
	Sources  []SourceFlicker
	Angles   Figure    // mains-safe shutter angles: their number
	Safe     []float64 // degrees
	AnySafe  bool
	Worst    Verdict
	Say      []string

	readout, fps, seconds float64 // 0 = not known
}

// SourceFlicker is one source that flickers.
type SourceFlicker struct {
	Source    int
	Name      string
	Hertz     float64
	Depth     float64 // percent flicker over 100
	Sine      bool
	Duty      float64 // share of the time it is on; of light that swings 1
	Share     float64 // of the light facing the camera; NaN where that is not known
	Cycles    float64 // per exposure; NaN where there is no shutter
	Variation Figure  // stops from the darkest to the brightest frame, or row, at this very time
	Worst     Figure  // peak to peak over the mean, whatever the exact time
	Bands     Figure  // in a picture
	Rows      Figure  // of each
	Crawl     Figure  // cycles a frame
	Beat      Figure
	Deepest   Figure // lowest level at which it is safe at this shutter
	LowRisk   Figure // percent flicker advised for people
	NoEffect  Figure
	SVM       Figure
	Percent   Figure
	Verdict   Verdict
	Say       string
}

// NewFlicker reckons the report. The error is that of NewExpose.
func NewFlicker(s *cue.Shoot, opt Options) (*Flicker, error) {
	cues, err := choose(s, opt.Cues)
	if err != nil {
		return nil, err
	}
	k, err := newReckoner(s, nil)
	if err != nil {
		return nil, err
	}
	out := &Flicker{Name: s.Subject.Name}
	for _, i := range cues {
		out.Cues = append(out.Cues, k.flicker(i, &s.Resolved[i]))
	}
	var silent []string
	for i := range s.Rig.Sources {
		if src := &s.Rig.Sources[i]; s.Flicker(i).Hertz == 0 && (src.Hand || src.Profile != nil && src.Profile.HasLight()) {
			silent = append(silent, src.Name)
		}
	}
	if len(silent) > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf(`nothing is known of %s: write pwm = { frequency = "2 kHz" }; to find it, photograph the bare light at the shortest shutter and its lowest level, and count the bands`, cue.ShortList(silent)))
	}
	out.Notes = append(out.Notes, "passing a measure for people's eyes does not make a lamp safe for a camera")
	return out, nil
}

// flicker reckons one cue.
func (k *reckoner) flicker(i int, r *cue.Resolved) CueFlicker {
	l := lensOf(k.shoot, &r.Camera)
	out := CueFlicker{Cue: i, Name: r.Name, Settings: l.settings(), Worst: Steady}
	out.readout = k.shoot.Camera.Readout.Seconds
	if l.seconds.ok() {
		out.seconds = l.seconds.value
	}
	if l.fps.ok() {
		out.fps = camera.MainsRate(l.fps.value)
	}
	light := k.light(r, &l)
	for j := range light.Sources {
		if src := &light.Sources[j]; src.Lit && k.shoot.Flicker(j).Hertz > 0 {
			f := k.flickers(src, &l)
			f.Share = math.NaN()
			if src.emits() && light.Camera.Known() {
				f.Share = math.Max(0, src.each) / light.Camera.Value
			}
			out.Sources = append(out.Sources, f)
			if worse(f.Verdict, out.Worst) {
				out.Worst = f.Verdict
			}
			out.Say = append(out.Say, f.Say)
		}
	}
	out.mains(k.shoot, &l)
	return out
}

func worse(a, b Verdict) bool {
	rank := map[Verdict]int{Steady: 0, Edge: 1, Banding: 2}
	return rank[a] > rank[b]
}

var (
	lawShallow = law{"the ripple of switched light, times 2·depth·duty over its mean", "linear: the steady part adds no ripple", ""}
	lawDeepest = law{"d = 1/(1 + pp·f·t), of min(d,1-d)/(d·f·t) = pp", "the worst of switched light, whatever the exact time", "dimming by switching alone; constant-current dimming has no such limit"}
	lawPercent = law{"100·(max-min)/(max+min)", "IES lighting handbook: percent flicker", ""}
)

// flickers reckons one source.
func (k *reckoner) flickers(src *SourceLight, l *lens) SourceFlicker {
	e := k.shoot.Flicker(src.Source)
	f := SourceFlicker{
		Source: src.Source, Name: src.Name, Hertz: e.Hertz, Sine: e.Sine, Depth: e.Depth, Duty: dutyOf(src.y, e.Sine), Cycles: math.NaN(),
	}
	if l.seconds.ok() {
		f.Cycles = f.Hertz * l.seconds.value
	}
	hertz, duty := is(f.Hertz), is(f.Duty)
	f.ripple(l)
	readout, rows := written(k.shoot.Camera.Readout.Seconds, `[camera] readout, as readout = "16 ms"`), written(float64(k.shoot.Camera.Rows), "[camera] rows, as rows = 2160")
	f.Bands = ask("bands", "bands of a rolling shutter", "flk-bands", "bands", with("readout", readout), with("f", hertz), with("rows", is(1))).as(unit(2, "bands"))
	f.Rows = ask("rows", "rows of each", "flk-bands", "rows_per_band", with("readout", readout), with("f", hertz), with("rows", rows)).as(unit(2, "rows"))
	fps := l.fps
	if fps.ok() {
		fps.value = camera.MainsRate(fps.value)
	}
	f.Crawl = ask("crawl", "how far they move from frame to frame", "flk-crawl", "cycles_per_frame", with("f", hertz), with("fps", fps)).as(unit(2, "cycles a frame"))
	f.Beat = ask("beat", "how often they come round", "flk-crawl", "beat_hz", with("f", hertz), with("fps", fps)).as(unit(2, "Hz"))
	f.LowRisk = ask("people-low-risk", "percent flicker of low risk to people", "flk-1789", "low_risk_pct", with("f", hertz)).as(unit(2, "%"))
	f.NoEffect = ask("people-no-effect", "percent flicker without effect on people", "flk-1789", "noel_pct", with("f", hertz)).as(unit(2, "%"))
	if f.Sine {
		f.SVM = ask("svm", "stroboscopic visibility, 1 is just visible", "flk-svmsin", "svm", with("mod", is(f.Depth)), with("f", hertz)).as(unit(2, ""))
	} else {
		f.SVM = ask("svm", "stroboscopic visibility, 1 is just visible", "flk-svmpwm", "svm", with("duty", duty), with("f", hertz)).as(unit(2, ""))
	}
	f.Percent = lawPercent.figure("percent", "percent flicker", "%", 100*f.Depth).as(unit(2, "%"))
	f.deepest(l)
	rate := 0.0
	if fps.ok() {
		rate = fps.value
	}
	f.judge(rate)
	return f
}

// leastDuty keeps a duty within what the formulas take.
const leastDuty = 1e-6

// dutyOf is the share of the time that switched light is on: its level.
func dutyOf(level float64, sine bool) float64 {
	if sine {
		return 1
	}
	return math.Max(leastDuty, math.Min(1, level))
}

// ripple is how much frames, or rows, differ.
func (f *SourceFlicker) ripple(l *lens) {
	hertz, t := is(f.Hertz), l.seconds
	if f.Sine {
		in := []term{with("mod", is(f.Depth)), with("f", hertz), with("t", t)}
		f.Variation = ask("variation", "from the darkest to the brightest", "flk-sine", "stops_pp", in...).as(Stops)
		f.Worst = ask("worst", "peak to peak over the mean", "flk-sine", "amplitude", in...)
		f.Worst.Value *= 2
		f.Worst = f.Worst.as(percent)
		return
	}
	in := []term{with("duty", is(f.Duty)), with("f", hertz), with("t", t)}
	f.Variation = ask("variation", "from the darkest to the brightest", "flk-pwm", "stops_pp", in...)
	f.Worst = ask("worst", "peak to peak over the mean, whatever the exact time", "flk-worst", "pp_over_mean", in...)
	if f.Depth < 1 {
		part := switched(f.Depth, f.Duty)
		if f.Variation.Known() {
			r := camera.PWMRipple(f.Duty, f.Hertz, t.value)
			f.Variation.Value = math.Log2((1 + part*(r.Most-1)) / (1 + part*(r.Least-1)))
			f.Worst.Value *= part
			f.Variation.Why.Law, f.Worst.Why.Law = f.Variation.Why.Law+"; "+lawShallow.text, f.Worst.Why.Law+"; "+lawShallow.text
		}
	}
	f.Variation, f.Worst = f.Variation.as(Stops), f.Worst.as(percent)
}

func percent(v float64) string { return significant(100*v, 2) + " %" }

// deepest is the lowest level at which the source is safe at this shutter. Down to
// half of the time the worst ripple of switched light does not depend on it: it is
// 1/(f·t).
func (f *SourceFlicker) deepest(l *lens) {
	title := "deepest safe dim level"
	switch {
	case !l.seconds.ok():
		f.Deepest = lawDeepest.absent("deepest", title, "%", l.seconds.missing)
	case f.Sine || f.Worst.Known() && f.Cycles >= 1/SafeRipple:
		f.Deepest = lawDeepest.figure("deepest", title, "%", 0, Input{"pp", "", "allowed", SafeRipple}, Input{"f·t", "", "cycles in an exposure", f.Cycles})
		f.Deepest.Text = "any"
		if f.Sine {
			f.Deepest.Text = "does not depend on its level"
		}
	default:
		level := 1 / (1 + float64(SafeRipple*f.Cycles))
		f.Deepest = lawDeepest.figure("deepest", title, "%", 100*level, Input{"pp", "", "allowed", SafeRipple}, Input{"f·t", "", "cycles in an exposure", f.Cycles}).as(unit(2, "%"))
	}
}
