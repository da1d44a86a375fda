package plan

import (
	"fmt"
	"math"

	"limn/cue"
	"limn/cue/camera"
	"limn/fixtures/space"
)

// Overlap is the share by which the frames of a focus stack overlap (0.2 to 0.35
// is common practice, no source).
const Overlap = 0.25

// Focus is what of the subject one frame holds sharp. Distances of figures are in
// mm from the entrance pupil.
type Focus struct {
	Figures []Figure
	Near    Figure // the subject's nearest part
	Far     Figure
	Focus   Figure // where to focus for the whole
	Sharp   Figure // how deep it is sharp there
	Best    Figure // effective aperture at which the ends are sharpest
	Airy    Figure // µm
	Blur    Figure // at the subject's ends, with diffraction, µm
	Allowed Figure // µm

	Holds   bool      // one frame holds it as the camera is set
	Stopped float64   // the mark at which one frame holds it, 0 = none does
	Stack   []float64 // else the focus distances, metres from the sensor mark
	StackN  float64   // at this mark
	Say     []string

	near, far known // mm
}

var (
	lawEnd         = law{"focus distance to the aim point, less and more what the form reaches along the line of sight", "geometry of the form, turned by the table", "a hull within its sections; a mesh within its bounding box"}
	lawMidway      = law{"u = 2·u_n·u_f/(u_n+u_f), nearly: the middle on the image side", "thin lens", "distances from the entrance pupil"}
	lawEnds        = law{"√((ΔV/2/N_eff)² + (2.44·λ·N_eff)²)", "Hansma; Peterson", "focused midway; a careful convention, no physics"}
	lawWrittenBlur = law{"as written: [camera] blur", "a matter of taste, and of the size it is shown at", ""}

	lawNeeded = law{"N_eff = ΔV/(2·c)", "view-camera rule", "diffraction left out"}
)

// sensorSide is the image distance of a thin lens for a focus distance, mm.
func sensorSide(f, u float64) float64 { return f * u / (u - f) }

// focus reckons the depth of field against the subject's own extent.
func (k *reckoner) focus(r *cue.Resolved, l *lens) Focus {
	var out Focus
	e, lack := extentOf(&k.shoot.Subject, k.bounds, r.Azimuth, space.At(0, l.elevation, 1))
	size := is(0)
	if lack != "" {
		size = lacks(lack)
	}
	missing := missingOf([]term{with("", l.focus), with("", size)})
	if missing == "" && l.focus.value-1000*e.toward <= l.focal.value {
		missing = fmt.Sprintf("a camera outside of the subject: %s of it are nearer than the lens can focus; move it away, [camera] distance is %s",
			Near(e.toward), Near(l.distance.value/1000))
	}
	if missing != "" {
		out.near, out.far = lacks(missing), lacks(missing)
	} else {
		out.near, out.far = is(l.focus.value-1000*e.toward), is(l.focus.value+1000*e.away)
	}
	end := func(key, title string, k known) Figure {
		if !k.ok() {
			return lawEnd.absent(key, title, "mm", k.missing)
		}
		return lawEnd.figure(key, title, "mm", k.value, Input{"u", "mm", "focus distance to the aim point", l.focus.value}, Input{"azimuth", "°", "of the table", r.Azimuth}).as(millimetres)
	}
	out.Near, out.Far = end("near", "nearest part of the subject", out.near), end("far", "farthest part", out.far)
	out.reckon(l)
	return out
}

func millimetres(v float64) string { return Near(v / 1000) }

func micrometres(v float64) string { return significant(v, 2) + " µm" }

// reckon fills in what follows from the ends of the subject.
func (o *Focus) reckon(l *lens) {
	spread := ask("spread", "spread of focus on the image side", "dof-spread", "dV_mm", with("f", l.focal), with("u_near", o.near), with("u_far", o.far)).as(unit(3, "mm"))
	o.Focus = lawMidway.absent("focus", "focus here", "mm", o.near.missing)
	middle := o.near
	if o.near.ok() && o.far.ok() {
		u := camera.Midway(l.focal.value, o.near.value, o.far.value)
		middle = is(u)
		o.Focus = lawMidway.figure("focus", "focus here", "mm", u, Input{"u_n", "mm", "nearest part", o.near.value}, Input{"u_f", "mm", "farthest part", o.far.value}).as(millimetres)
	}
	o.Allowed = ask("blur-allowed", "blur allowed on the sensor", "dof-coc", "c_mm", with("w", l.width), with("h", l.height))
	if l.blurWritten {
		o.Allowed = lawWrittenBlur.figure(o.Allowed.Key, o.Allowed.Title, "mm", l.blur.value)
	}
	o.Allowed.Value, o.Allowed.Unit = 1000*o.Allowed.Value, "µm"
	o.Allowed = o.Allowed.as(micrometres)
	near := ask("sharp-from", "sharp from", "dof-limits", "near_mm", with("f", l.focal), with("N", l.marked), with("c", l.blur), with("u", middle)).as(millimetres)
	far := ask("sharp-to", "sharp to", "dof-limits", "far_mm", with("f", l.focal), with("N", l.marked), with("c", l.blur), with("u", middle)).as(millimetres)
	o.Sharp = ask("sharp-depth", "depth of field", "dof-limits", "total_mm", with("f", l.focal), with("N", l.marked), with("c", l.blur), with("u", middle)).as(millimetres)
	o.Airy = ask("airy", "diffraction", "dof-airy", "diameter_um", with("N_eff", l.effective)).as(micrometres)
	dv := spread.known()
	o.Best = ask("n-best", "best aperture for its depth, effective", "dof-nopt", "N_eff", with("dV_mm", dv)).as(Effective)
	bestBlur := ask("blur-best", "blur at its ends there", "dof-nopt", "blur_mm", with("dV_mm", dv))
	bestBlur.Value, bestBlur.Unit = 1000*bestBlur.Value, "µm"
	bestBlur = bestBlur.as(micrometres)
	most := ask("n-diffraction", "effective aperture at which diffraction fills the allowed blur", "dof-nmax", "N_eff_max", with("c_mm", l.blur)).as(Effective)
	needed := lawNeeded.absent("n-needed", "effective aperture that its depth asks for", "", missingOf([]term{with("", dv), with("", l.blur)}))
	if dv.ok() && l.blur.ok() {
		needed = lawNeeded.figure("n-needed", needed.Title, "", camera.NeededAperture(dv.value, l.blur.value),
			Input{"dV", "mm", "spread", dv.value}, Input{"c", "mm", "blur allowed", l.blur.value}).as(Effective)
	}
	o.Blur = lawEnds.absent("blur-ends", "blur at its ends as the camera is set", "µm", missingOf([]term{with("", dv), with("", l.effective)}))
	if dv.ok() && l.effective.ok() {
		o.Blur = lawEnds.figure("blur-ends", o.Blur.Title, "µm", endBlur(dv.value, l.effective.value),
			Input{"dV", "mm", "spread", dv.value}, Input{"N_eff", "", "effective aperture", l.effective.value}).as(micrometres)
	}
	o.Figures = []Figure{o.Near, o.Far, o.Focus, spread, near, far, o.Sharp, o.Allowed, o.Airy, o.Blur, needed, o.Best, bestBlur, most}
	o.decide(l, dv)
}

// endBlur is the blur at both ends of a spread with diffraction, µm.
func endBlur(spread, effective float64) float64 {
	return 1000 * camera.TotalBlur(spread/(2*effective), camera.Airy(camera.Wavelength, effective))
}

// decide says whether one frame holds the subject, and how many do.
func (o *Focus) decide(l *lens, dv known) {
	if missing := missingOf([]term{with("", dv), with("", l.blur), with("", l.effective)}); missing != "" {
		o.Say = append(o.Say, "whether one frame holds it sharp is not known: needs "+missing)
		return
	}
	allowed := 1000 * l.blur.value
	at := fmt.Sprintf("focused at %s from the sensor", Near((o.Focus.Value+sensorSide(l.focal.value, o.Focus.Value))/1000))
	if o.Holds = o.Blur.Value <= allowed; o.Holds {
		o.Say = append(o.Say, fmt.Sprintf("one frame holds it sharp, %s", at))
		return
	}
	factor := l.effective.value / l.marked.value
	for third := 0; third <= 40; third++ { // from wide open to f/100: the first mark that will do
		n := math.Exp2(float64(third) / 6)
		if endBlur(dv.value, n*factor) <= allowed {
			o.Stopped = n
			o.Say = append(o.Say, fmt.Sprintf("at %s its ends blur to %s, %s are allowed: one frame at %s holds it, %s (%s light)", FNumber(l.marked.value),
				o.Blur.Text, o.Allowed.Text, FNumber(n), at, moreLight(2*math.Log2(n/l.marked.value))))
			return
		}
	}
	o.stack(l, factor)
	why := fmt.Sprintf("no single frame holds it: %s at its best, %s, %s are allowed", micrometres(1000*bestOf(dv.value)), Effective(o.Best.Value), o.Allowed.Text)
	if len(o.Stack) == 0 {
		o.Say = append(o.Say, why+"; move the camera away, or allow more blur")
		return
	}
	cost := ""
	if o.StackN != l.marked.value {
		cost = fmt.Sprintf(" (%s light)", moreLight(2*math.Log2(o.StackN/l.marked.value)))
	}
	o.Say = append(o.Say, fmt.Sprintf("%s; stack %d frames at %s%s, focused at %s from the sensor", why, len(o.Stack), FNumber(o.StackN), cost, distances(o.Stack)))
}

// stack plans the frames: at the aperture that is set, unless another one needs far
// fewer. What diffraction takes of the allowed blur is not left for defocus.
func (o *Focus) stack(l *lens, factor float64) {
	best := l.blur.value / (math.Sqrt2 * camera.Airy(camera.Wavelength, 1)) / factor // most depth a frame
	for _, n := range []float64{l.marked.value, exactMark(best)} {
		left := math.Sqrt(l.blur.value*l.blur.value - math.Pow(camera.Airy(camera.Wavelength, n*factor), 2))
		if !(left > 0) {
			continue
		}
		frames := camera.FocusStack(l.focal.value, n, left, o.near.value, o.far.value, Overlap)
		if len(frames) == 0 || len(o.Stack) > 0 && 3*len(frames) > 2*len(o.Stack) {
			continue // the aperture stays as it is set, unless another saves a third of them
		}
		o.StackN, o.Stack = n, nil
		for _, u := range frames {
			o.Stack = append(o.Stack, (u+sensorSide(l.focal.value, u))/1000)
		}
	}
}

func bestOf(spread float64) float64 {
	_, blur := camera.BestAperture(spread, camera.Wavelength)
	return blur
}

func moreLight(stops float64) string {
	return fmt.Sprintf("%s %s", Stops(math.Abs(stops)), map[bool]string{true: "more", false: "less"}[stops > 0])
}

// mostListed is how many focus distances are written out.
const mostListed = 12

// distances lists focus distances in metres to the millimetre.
func distances(metres []float64) string {
	text := ""
	for i, m := range metres {
		if i == mostListed && len(metres) > mostListed+1 {
			return text + fmt.Sprintf(" ... %.3f m", metres[len(metres)-1])
		}
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%.3f", m)
	}
	return text + " m"
}
