package measure

import (
	"fmt"
	"math"

	"limn/fixtures"
	"limn/fixtures/colour"
)

const (
	// addsUp is how far the whole light may be from the sum of its emitters: supplies
	// sag a little when everything is on (common practice, no source).
	addsUp = 0.05
	// sameWhite is how far, in u'v', the colour of the sum may be from that of the
	// whole light: beyond it the instrument did not stay as it was.
	sameWhite = 4 * colour.Step
	// oddWhite is how far the whole light's white may be from the profile's before it
	// is said, in u'v'.
	oddWhite = 12 * colour.Step
)

// whole is the whole light at the most it gives, against the sum of its emitters.
func (r *Result) whole(s *Series, points []point, fs *findings) {
	if len(points) == 0 {
		return
	}
	full := &points[len(points)-1]
	if !(full.light.Y > 0) {
		fs.fault(full.at, "see that the light is on and the address right; then read it again", "%s: the whole light at full gives %.3g lx", s.Source, full.light.Y)
		return
	}
	if !s.Relative {
		r.Calibration.Full = full.light.Y
	}
	xy, coloured := colour.XY{}, full.coloured()
	if coloured {
		xy, _ = full.light.XY()
	}
	if len(r.Curves) == 0 {
		r.quick(s, full, xy, fs)
		return
	}
	sum, complete := r.sum(s.Profile)
	if !complete {
		return
	}
	r.Sum = sum.Y / full.light.Y
	limited := s.Profile.MaxWatts > 0 && r.Sum > 1
	if math.Abs(r.Sum-1) > addsUp && !limited {
		fs.warn(full.at, "if that is not its supply giving in, the meter was moved or an exposure is missing: read a few levels again",
			"%s: its emitters add up to %.3g %% of the whole light", s.Source, 100*r.Sum)
	}
	if coloured && !math.IsNaN(sum.X) && !limited {
		xySum, ok := sum.XY()
		if d := xySum.UV().Distance(xy.UV()); ok && d > sameWhite {
			fs.warn(full.at, "set a fixed white balance and exposure (or the meter to one mode), and read again",
				"%s: its emitters add up to another white than the whole light has, %.1f steps away", s.Source, d/colour.Step)
		}
	}
}

// sum is the light of all emitters at full; complete says that each was read.
func (r *Result) sum(p *fixtures.Profile) (sum colour.XYZ, complete bool) {
	read := 0
	for i := range r.Curves {
		c := &r.Curves[i]
		if emitter(p, c.Control) == nil {
			continue
		}
		l := colour.XYZ{X: math.NaN(), Y: c.Lux, Z: math.NaN()}
		if c.XY.Y > 0 {
			l = c.XY.XYZ(c.Lux)
		}
		sum = colour.XYZ{X: sum.X + l.X, Y: sum.Y + l.Y, Z: sum.Z + l.Z}
		read++
	}
	return sum, read > 0 && read == len(p.Emitters)
}

// quick is all that one reading tells.
func (r *Result) quick(s *Series, full *point, xy colour.XY, fs *findings) {
	if xy.Y == 0 {
		return
	}
	if len(s.Profile.Emitters) == 1 {
		e := &s.Profile.Emitters[0]
		m := fixtures.Measured{Name: e.Name, XY: xy}
		if !s.Relative {
			m.Lux = full.light.Y
		}
		r.Calibration.Emitters = append(r.Calibration.Emitters, m)
	}
	said := fmt.Sprintf("all at full it reads xy %.4f %.4f", xy.X, xy.Y)
	if w, ok := xy.White(); ok {
		said = "all at full it reads " + w.String()
	}
	if r.Calibration.Note != "" {
		said = r.Calibration.Note + "; " + said
	}
	r.Calibration.Note = said
	if expected, ok := FullWhite(s.Profile); ok {
		if d := expected.UV().Distance(xy.UV()); d > oddWhite {
			fs.warn(full.at, "see that it is this light and this profile; measuring each emitter (limn measure --mode meter) tells",
				"%s: its white at full is %.0f steps from the profile's", s.Source, d/colour.Step)
		}
	}
}

// FullWhite is the colour of a light with all emitters at full, by its profile; ok is
// false where that depends on a slot.
func FullWhite(p *fixtures.Profile) (xy colour.XY, ok bool) {
	if highest(p, CCT) > 0 {
		return colour.XY{}, false // it depends on the slot
	}
	var sum colour.XYZ
	for i := range p.Emitters {
		l := p.Emitters[i].Light()
		sum = colour.XYZ{X: sum.X + l.X, Y: sum.Y + l.Y, Z: sum.Z + l.Z}
	}
	return sum.XY()
}

// whites makes the table of a colour temperature slot.
func (r *Result) whites(points []point, fs *findings) {
	most := 0.0
	for i := range points {
		most = max(most, points[i].light.Y)
	}
	var table []fixtures.WhitePoint
	for i := range points {
		p := &points[i]
		w, ok := whiteOf(p)
		if !ok {
			fs.fault(p.at, "read it with an instrument that tells kelvin or xy, or leave the colour temperature out", "%s: its colour temperature at %.3g %% has no white", r.Source, 100*p.level)
			return
		}
		table = append(table, fixtures.WhitePoint{Share: p.level, White: w, Flux: p.light.Y / most})
	}
	if len(table) < 2 || table[0].Share != 0 || table[len(table)-1].Share != 1 {
		fs.fault(points[0].at, "read it at its lowest and its highest code, and some between", "%s: its colour temperature was not read from end to end", r.Source)
		return
	}
	r.Calibration.CCT = fixtures.MeasuredCCT{Table: table}
}

// budget says how far the results may be off.
func (r *Result) budget(s *Series) {
	t := &s.Terms
	full, repeat, blur, gap, left := t.Repeat, 0.0, 0.0, 0.0, 0.0
	for i := range r.Curves {
		c := &r.Curves[i]
		full, blur, gap = max(full, c.Repeat), max(blur, c.Blur), max(gap, c.Gap)
		sum, n := 0.0, 0
		for _, p := range c.Points {
			if p.Light >= max(c.Holds, lit) {
				repeat = max(repeat, p.Repeat)
				sum += p.Residual * p.Residual
				n++
			}
		}
		if n > 0 {
			left = max(left, math.Sqrt(sum/float64(n)))
		}
	}
	drift := 0.0
	if !math.IsNaN(r.Drift) {
		drift = math.Abs(r.Drift) / 10 // a straight line makes up for nine tenths (common practice, no source)
	} else if len(r.Curves) > 0 {
		drift = 0.03 // a light nobody watched
	}
	b := &r.Budget
	b.Lux = add(b.Lux, "meter", t.Class)
	b.Lux = add(b.Lux, "slanting light", t.Cosine)
	b.Lux = add(b.Lux, "placing", t.Placement)
	b.Lux = add(b.Lux, "flat field", t.Flat)
	b.Lux = add(b.Lux, "repeating", full)
	b.Lux = add(b.Lux, "drift left", drift)
	b.Level = add(b.Level, "repeating", repeat)
	b.Level = add(b.Level, "drift left", drift)
	b.Level = add(b.Level, "between readings", gap)
	b.Level = add(b.Level, "smoothed away", left)
	b.Colour = add(b.Colour, "instrument", t.Colour)
	b.Colour = add(b.Colour, "noise", blur)
}

func minutes(seconds float64) string {
	if seconds < 60 {
		return fmt.Sprintf("%.0f s", seconds)
	}
	return fmt.Sprintf("%.0f min", math.Ceil(seconds/60))
}
