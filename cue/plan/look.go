package plan

import (
	"fmt"
	"math"

	"limn/cue/camera"
)

// Look is what full-size frame this one imitates, and what a wanted one would
// take here.
type Look struct {
	Now     Figure   // the effective f-number at full size
	Deepest Figure   // the same of the deepest frame that diffraction leaves
	Wanted  []Figure // for Options.FullLook
	Say     []string
}

// look reckons either.
func (k *reckoner) look(l *lens, f *Focus, opt *Options) Look {
	s := k.shoot.Subject.Scale
	full := l.width
	if opt.FullSensor > 0 {
		full = is(opt.FullSensor)
	}
	in := func(n known) []term {
		return []term{with("s", is(s)), with("N_eff_mini", n), with("w_full", full), with("w_mini", l.width)}
	}
	out := Look{Now: ask("full-look", "looks at full size like", "min-inverse", "N_eff_full", in(l.effective)...).as(Effective)}
	most := lacks(l.blur.missing)
	if l.blur.ok() {
		most = is(camera.MostAperture(l.blur.value, camera.Wavelength))
	}
	out.Deepest = ask("full-look-deepest", "the deepest look in one frame", "min-inverse", "N_eff_full", in(most)...).as(Effective)
	if out.Now.Known() && s > 1 {
		out.Say = append(out.Say, fmt.Sprintf("looks like %s at full size", out.Now.Text))
	}
	if opt.FullLook > 0 {
		out.want(l, f, opt.FullLook, s, full)
	}
	return out
}

// want reckons what a full-size look takes here.
func (o *Look) want(l *lens, f *Focus, n, s float64, full known) {
	u, focal, blur := known{math.NaN(), l.focus.missing}, known{math.NaN(), l.focus.missing}, l.blur
	if l.focus.ok() && l.width.ok() && full.ok() {
		// The full-size camera sees the same field from the scaled place.
		m := l.magnification.value / s * full.value / l.width.value
		u = is(s * l.focus.value)
		focal = is(u.value * m / (1 + m))
		if blur.ok() {
			blur.value *= full.value / l.width.value
		}
	}
	in := []term{
		with("s", is(s)), with("N_full", is(n)), with("f_full", focal), with("u_full_mm", u), with("w_full", full), with("w_mini", l.width), with("c_full_mm", blur),
	}
	effective := ask("wanted-effective", "effective aperture here", "min-equiv", "N_eff_mini", in...).as(Effective)
	marked := ask("wanted-marked", "aperture to set here", "min-equiv", "N_marked_mini", in...).as(Effective)
	more := ask("wanted-stops", "more light than the full size", "min-equiv", "extra_stops", in...).as(Stops)
	airy := ask("wanted-diffraction", "diffraction over the allowed blur", "min-equiv", "airy_over_coc", in...).as(unit(2, "times"))
	now := ask("wanted-more", "more light than now", "exp-stops", "stops", with("ratio", squared(effective.known(), l.effective))).as(SignedStops)
	o.Wanted = []Figure{effective, marked, more, now, airy}
	text := fmt.Sprintf("to look like f/%s at full size: ", significant(n, 3))
	if missing := missingOf([]term{with("", effective.known()), with("", now.known()), with("", airy.known())}); missing != "" {
		o.Say = append(o.Say, text+"not known, needs "+missing)
		return
	}
	text += fmt.Sprintf("%s here, %s more light than at full size, %s than now", effective.Text, more.Text, moreLight(now.Value))
	if airy.Value <= 1 {
		o.Say = append(o.Say, fmt.Sprintf("%s; set %s with %s", text, FNumber(marked.Value), l.paid(now.Value)))
		return
	}
	o.Say = append(o.Say, fmt.Sprintf("%s; diffraction forbids it (%s times the allowed blur); instead: %s", text, significant(airy.Value, 2), o.insteadOf(l, f, n, s, focal.value, u.value, blur.value)))
}

func squared(a, b known) known {
	r := over(a, b)
	r.value *= r.value
	return r
}

// paid says how light for so many stops is had.
func (l *lens) paid(stops float64) string {
	if stops <= 0 {
		return Stops(-stops) + " less light"
	}
	text := Stops(stops) + " more light"
	if l.seconds.ok() {
		text += ", or " + Time(l.seconds.value*math.Exp2(stops))
	}
	return text
}

// insteadOf lists what comes nearest to a look that diffraction forbids.
func (o *Look) insteadOf(l *lens, f *Focus, n, s, focal, u, blur float64) string {
	text := ""
	if o.Deepest.Known() {
		text = fmt.Sprintf("one frame at %s, which looks like %s", FNumber(camera.MostAperture(l.blur.value, camera.Wavelength)*l.marked.value/l.effective.value), o.Deepest.Text)
	}
	near, far := l.focus.value, l.focus.value
	if f.near.ok() && f.far.ok() {
		depth := camera.DepthOfField(focal, n, blur, u)
		near, far = math.Max(f.near.value, depth.Near/s), math.Min(f.far.value, depth.Far/s)
	}
	mark := l.marked.value
	if limit := camera.MostAperture(l.blur.value, camera.Wavelength); l.effective.value > limit {
		mark = exactMark(limit * l.marked.value / l.effective.value)
	}
	if frames := camera.FocusStack(l.focal.value, mark, l.blur.value, near, far, Overlap); len(frames) > 1 {
		text += fmt.Sprintf(", or a stack of %d frames at %s over the depth that f/%s would hold of the subject", len(frames), FNumber(mark), significant(n, 3))
	}
	return text + ", or a tilted lens"
}
