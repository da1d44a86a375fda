package measure

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/fit"
	"limn/fixtures/mix"
)

// Curve is how one control's codes become light.
type Curve struct {
	Control string
	Max     int // highest code
	Floor   int // lowest code that lights it; 0 = the lowest that was read

	Points       []CurvePoint  // ascending
	Before, Now  *mix.Response // as it was taken to be, and as measured; Now nil = too few readings
	Gap          float64       // how far the curve may be off between points, a share
	Holds        float64       // share of full down to which readings repeat within [WellKnown]
	Lux          float64       // at full
	XY           colour.XY     // at full; zero = not read
	BeforeXY     colour.XY     // as it was taken to be
	Repeat, Blur float64       // of the reading at full: a share, Δu'v'
}

// CurvePoint is one level of a curve, with what is left over.
type CurvePoint struct {
	Level    float64 // share of the highest code
	Light    float64 // as read, drift and ambient taken out: share of full
	Fitted   float64 // as the calibration has it
	Repeat   float64 // share of Light
	Residual float64 // (Light - Fitted)/Fitted; NaN where hardly anything shines
	XY       colour.XY
	Stray    float64 // Δu'v' from full; NaN = no colour
}

// WellKnown is the error (one sigma) of a level that is known: three times as much, a
// thirtieth of a stop, nobody sees in a picture.
const WellKnown = 0.02 / 3

const (
	// poorly is the error from which a reading says less of the curve than the
	// readings above it do.
	poorly = 0.06
	// lit is the least share of full that counts as light: 13 stops down, where
	// hand meters end.
	lit = fixtures.MinDimmedLevel
	// surely is by how many times its own error light must exceed nothing.
	surely = 3
	// exchanged is how far two neighbours must fall for a slip of the pen.
	exchanged = 0.2
	// keepsColour is the most by which the colour of a dim level may be off to be
	// worth keeping: two steps, what is called excellent side by side.
	keepsColour = 2 * colour.Step
	// between is how many points are put between two readings: a dimming curve is
	// near a power law, and a straight line in logarithms says more than a cubic.
	between = 3
)

// control makes a curve of one control's points.
func (r *Result) control(s *Series, control string, points []point, fs *findings) {
	full := points[len(points)-1]
	if full.level != 1 {
		fs.fault(full.at, "read it at full too: the other levels are shares of that", "%s: %s was read up to %.3g %% only", r.Source, control, 100*full.level)
		return
	}
	if !(full.light.Y > 0) {
		fs.fault(full.at, "see that the light is on, the cap off and the address right; then read it again", "%s: %s at full gives no light", r.Source, control)
		return
	}
	c := Curve{Control: control, Max: highest(s.Profile, control), Lux: full.light.Y, Repeat: max(full.spread, s.Terms.Repeat), Blur: full.blur}
	before := s.Profile
	if s.Before != nil {
		before = s.Before
	}
	c.Before = profileResponse(before, control)
	if e := emitter(before, control); e != nil {
		c.BeforeXY = e.XY
	}
	if full.coloured() {
		c.XY, _ = full.light.XY()
	}
	for _, p := range points {
		q := CurvePoint{Level: p.level, Light: p.light.Y / full.light.Y, Repeat: math.Hypot(max(p.spread, s.Terms.Repeat), c.Repeat), Stray: math.NaN()}
		if p.level == 1 {
			q.Repeat = c.Repeat
		}
		if p.coloured() && p.light.Y > 0 && c.XY.Y > 0 {
			q.XY, _ = p.light.XY()
			q.Stray = q.XY.UV().Distance(c.XY.UV())
		}
		c.Points = append(c.Points, q)
	}
	if !plausible(r.Source, control, c.Max, points, fs) {
		return
	}
	c.fit(fs, r.Source, points)
	r.enter(s, control, points, &c)
	r.Curves = append(r.Curves, c)
}

// plausible finds slips of the pen: one number in place of another.
func plausible(source, control string, most int, points []point, fs *findings) bool {
	good := true
	// 255 of a light that counts to 65535.
	low := slices.IndexFunc(points, func(p point) bool {
		return most > fixtures.Max8 && p.level < 1.0/250 && p.light.Y > points[len(points)-1].light.Y/2
	})
	if low >= 0 {
		low := points[low]
		fs.fault(low.at, "if these are codes of 8 bits, this light has finer ones: write per cent, or codes to its highest",
			"%s: %s gives %.4g lx at %.2g %% already", source, control, low.light.Y, 100*low.level)
		return false
	}
	for i := 0; i+1 < len(points); i++ {
		a, b := &points[i], &points[i+1]
		noise := surely * math.Hypot(a.spread*a.light.Y, b.spread*b.light.Y)
		if a.light.Y <= b.light.Y*(1+exchanged)+noise || a.light.Y < lit*points[len(points)-1].light.Y {
			continue
		}
		good = false
		fits := smooth(points[max(0, i-1):min(len(points), i+3)], i-max(0, i-1))
		if fits {
			fs.fault(b.at, "exchange them if you typed them so, or read both again",
				"%s: %s gives %.4g lx at %.3g %% and only %.4g lx at %.3g %%: the two look exchanged", source, control, a.light.Y, 100*a.level, b.light.Y, 100*b.level)
		} else {
			fs.fault(b.at, "read both levels again", "%s: %s gives %.4g lx at %.3g %% and only %.4g lx at %.3g %%", source, control, a.light.Y, 100*a.level, b.light.Y, 100*b.level)
		}
	}
	// A column of kelvin hardly changes while the level does.
	dim, high := points[0], points[len(points)-1]
	if good && len(points) > 2 && dim.level < 0.5 && dim.light.Y > 0.7*high.light.Y {
		good = false
		cure := "see that the column is that of lux, and that the light does dim"
		if k := high.light.Y; k >= colour.MinKelvin && k <= 15_000 {
			cure = "these may be kelvin: give the column of lux; or see that the light does dim"
		}
		fs.fault(dim.at, cure, "%s: %s reads %.4g at %.3g %% and %.4g at full, nearly the same", source, control, dim.light.Y, 100*dim.level, high.light.Y)
	}
	return good
}

// smooth says whether points run on evenly once the one at i and the next have
// changed places: whether the power of the curve hardly bends.
func smooth(points []point, i int) bool {
	const bend = 1.5 // of exponents; an S-curve bends by 1 between two readings
	y := make([]float64, len(points))
	for k := range points {
		y[k] = points[k].light.Y
	}
	y[i], y[i+1] = y[i+1], y[i]
	last := math.NaN()
	for k := 1; k < len(y); k++ {
		power := math.Log(y[k]/y[k-1]) / math.Log(points[k].level/points[k-1].level)
		if !(power > 0) || math.Abs(power-last) > bend {
			return false
		}
		last = power
	}
	return true
}

// fit forces the curve to rise, finds where the light cuts off, and makes a
// response of it.
func (c *Curve) fit(fs *findings, source string, points []point) {
	raw := make([]float64, len(c.Points))
	for i := range c.Points {
		raw[i] = c.Points[i].Light
	}
	rising := fit.Rising(raw)
	var x, y []float64
	unlit := -1 // the highest point that is not seen to give light
	c.Holds = 1
	for i := range rising {
		repeat := c.Points[i].Repeat
		if rising[i] < lit || repeat > 1.0/surely {
			unlit = i
			x, y = nil, nil // what seems lit below was noise
			continue
		}
		if repeat <= WellKnown {
			c.Holds = min(c.Holds, rising[i])
		}
		if repeat > poorly && c.Points[i].Level < 1 {
			continue
		}
		if n := len(x); n > 0 && rising[i] <= y[n-1] {
			if c.Points[i].Level < 1 {
				continue // pooled: its first point stands for it
			}
			x[n-1], y[n-1] = 1, 1
			continue
		}
		x, y = append(x, c.Points[i].Level), append(y, rising[i])
	}
	for i := range y {
		y[i] /= rising[len(rising)-1]
	}
	cut := unlit >= 0 && len(x) >= 2 && c.cutsOff(unlit, x, y)
	if cut {
		c.Floor = int(math.Round(x[0] * float64(c.Max)))
		fs.warn(fixtures.Origin{}, "nothing; codes below are not used",
			"%s: %s cuts off between code %.0f and %d", source, c.Control, c.Points[unlit].Level*float64(c.Max), c.Floor)
	}
	if len(x) >= 3 {
		if t, err := mix.Table(dense(x, y, !cut)); err == nil {
			c.Now = &t
			c.Gap = gap(x, y)
		}
	}
	for i := range c.Points {
		p := &c.Points[i]
		p.Fitted = rising[i]
		if c.Now != nil && p.Level*float64(c.Max) >= float64(c.Floor) {
			p.Fitted = c.Now.Light(p.Level)
		}
		p.Residual = math.NaN()
		if p.Light >= lit && p.Fitted > 0 {
			p.Residual = (p.Light - p.Fitted) / p.Fitted
		}
	}
}

// cutsOff says whether a level that is not seen to give light would be, did the
// curve go on below its lowest readings as it does there.
func (c *Curve) cutsOff(unlit int, x, y []float64) bool {
	p := &c.Points[unlit]
	expected := y[0] * math.Pow(p.Level/x[0], slope(x, y))
	noise := max(p.Repeat*math.Abs(p.Light), c.Points[len(c.Points)-1].Repeat*lit)
	return expected > 2*lit && expected > math.Abs(p.Light)+surely*noise
}

// slope is the exponent of the power law at the foot of a curve.
func slope(x, y []float64) float64 {
	return math.Log(y[1]/y[0]) / math.Log(x[1]/x[0])
}

// dense puts points between the readings of a curve, by a monotone cubic in
// logarithms, in which a power law is straight; and some below the lowest, if the
// curve goes on there.
func dense(x, y []float64, on bool) [][2]float64 {
	points := [][2]float64{{0, 0}}
	if on {
		for k := between; k >= 1; k-- {
			share := math.Pow(0.5, float64(k))
			points = append(points, [2]float64{x[0] * share, y[0] * math.Pow(share, slope(x, y))})
		}
	}
	curve := logCurve(x, y)
	for i := range x {
		if i > 0 && curve != nil {
			for k := 1; k <= between; k++ {
				u := float64(k) / (between + 1)
				at := math.Exp(math.Log(x[i-1])*(1-u) + math.Log(x[i])*u)
				light := math.Exp(curve.At(math.Log(at)))
				if last := points[len(points)-1]; at > last[0] && light > last[1] && light < y[i] && at < x[i] {
					points = append(points, [2]float64{at, light})
				}
			}
		}
		points = append(points, [2]float64{x[i], y[i]})
	}
	return rounded(points)
}

// rounded brings points to six digits, more than any instrument tells, as long as they
// go on rising.
func rounded(points [][2]float64) [][2]float64 {
	const digits = 6
	out := points[:1]
	for _, p := range points[1:] {
		for k := range p {
			p[k], _ = strconv.ParseFloat(strconv.FormatFloat(p[k], 'g', digits, 64), 64)
		}
		if last := out[len(out)-1]; p[0] > last[0] && p[1] > last[1] {
			out = append(out, p)
		}
	}
	out[len(out)-1] = [2]float64{1, 1}
	return out
}

func logCurve(x, y []float64) *fit.Curve {
	if len(x) < 2 {
		return nil
	}
	lx, ly := make([]float64, len(x)), make([]float64, len(x))
	for i := range x {
		lx[i], ly[i] = math.Log(x[i]), math.Log(y[i])
	}
	c, err := fit.NewCurve(lx, ly)
	if err != nil {
		return nil // x rises: it was sorted
	}
	return c
}

// gap estimates how far the curve is off between its readings: each is left out in
// turn and told by the others. That doubles the distance of the readings, and the
// error of such a cubic grows at least with the square of it.
func gap(x, y []float64) float64 {
	sum, n := 0.0, 0
	for i := 1; i+1 < len(x); i++ {
		c := logCurve(slices.Delete(slices.Clone(x), i, i+1), slices.Delete(slices.Clone(y), i, i+1))
		if c == nil {
			continue
		}
		d := math.Expm1(c.At(math.Log(x[i])) - math.Log(y[i]))
		sum += d * d
		n++
	}
	if n == 0 {
		return 0
	}
	const shrink = 4
	return math.Sqrt(sum/float64(n)) / shrink
}

// enter writes a curve into the calibration.
func (r *Result) enter(s *Series, control string, points []point, c *Curve) {
	if control == Dimmer {
		r.Calibration.Dimmer = fixtures.MeasuredDimmer{Response: c.Now, Floor: c.Floor}
		r.drift(s, points)
		return
	}
	m := fixtures.Measured{Name: control, XY: c.XY, Response: c.Now, Floor: c.Floor}
	if s.Relative {
		m.Flux = c.Lux
	} else {
		m.Lux = c.Lux
	}
	for i := range c.Points {
		p := &c.Points[i]
		if p.XY.Y > 0 && usefulLevel(p.Fitted) && points[i].blur <= keepsColour && p.Stray <= fixtures.MaxStray {
			m.Dimmed = append(m.Dimmed, fixtures.Dimmed{Level: p.Fitted, XY: p.XY})
		}
	}
	slices.SortFunc(m.Dimmed, func(a, b fixtures.Dimmed) int { return cmp.Compare(b.Level, a.Level) })
	m.Dimmed = slices.CompactFunc(m.Dimmed, func(a, b fixtures.Dimmed) bool { return a.Level == b.Level })
	r.Calibration.Emitters = append(r.Calibration.Emitters, m)
}

func usefulLevel(share float64) bool {
	return share >= fixtures.MinDimmedLevel && share <= fixtures.MaxDimmedLevel
}

// drift is how the white of a light that mixes for itself moves as it dims.
func (r *Result) drift(s *Series, points []point) {
	if highest(s.Profile, CCT) == 0 {
		return
	}
	full := &points[len(points)-1]
	white, ok := whiteOf(full)
	if !ok {
		return
	}
	for i := len(points) - 2; i >= 0; i-- {
		p := &points[i]
		w, ok := whiteOf(p)
		share := p.light.Y / full.light.Y
		d := fixtures.WhiteDrift{Level: share, Mired: w.Mired() - white.Mired(), Duv: w.Duv - white.Duv}
		if ok && usefulLevel(share) && p.blur <= keepsColour && math.Abs(d.Mired) <= fixtures.MaxMiredDrift && math.Abs(d.Duv) <= fixtures.MaxDuvDrift {
			r.Calibration.Drift = append(r.Calibration.Drift, d)
		}
	}
}

func whiteOf(p *point) (colour.White, bool) {
	if !p.coloured() || !(p.light.Y > 0) {
		return colour.White{}, false
	}
	xy, ok := p.light.XY()
	if !ok {
		return colour.White{}, false
	}
	return xy.White()
}

// profileResponse is what the profile says of a control.
func profileResponse(p *fixtures.Profile, control string) *mix.Response {
	if e := emitter(p, control); e != nil {
		return &e.Response
	}
	for i := range p.Slots {
		if p.Slots[i].Kind == fixtures.SlotDimmer {
			return &p.Slots[i].Response
		}
	}
	linear := mix.Linear()
	return &linear
}
