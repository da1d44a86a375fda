package measure

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// Result is what readings of one light come to.
type Result struct {
	Source      string
	Profile     *fixtures.Profile // that the light was read with
	Calibration *fixtures.Calibration
	Curves      []Curve // one a control, in the order of Controls
	Budget      Budget
	Findings    []Finding

	Ambient float64 // lux of the room, taken out of every reading; NaN = not read
	Drift   float64 // share the light changed from the first reference to the last; NaN = one reference or none
	Sum     float64 // what the emitters add up to over the whole light; NaN = not known
}

// ErrNothing says that there is no reading to make anything of.
var ErrNothing = errors.New("no reading of this light")

// point is the light of a control at one level, all readings of it averaged.
type point struct {
	at       fixtures.Origin
	level    float64
	light    colour.XYZ // X and Z NaN without a colour
	spread   float64    // how well it repeats, a share
	blur     float64    // how well its colour repeats, Δu'v'
	readings int
}

func (p *point) coloured() bool { return !math.IsNaN(p.light.X) }

// Solve makes a calibration of the readings. The error is ErrNothing, or that of a
// profile without controls; everything else that is wrong is in the findings.
func (s *Series) Solve() (*Result, error) {
	if len(s.Readings) == 0 {
		return nil, ErrNothing
	}
	controls := Controls(s.Profile)
	if len(controls) == 0 {
		return nil, fmt.Errorf("%s has no emitter, dimmer or colour temperature to measure", s.Profile.Name)
	}
	r := &Result{
		Source: s.Source, Profile: s.Profile, Ambient: math.NaN(), Drift: math.NaN(), Sum: math.NaN(),
		Calibration: &fixtures.Calibration{
			Profile: s.Profile.Name, Instrument: s.Instrument, Date: s.Date, Note: s.Note, Distance: s.Distance,
		},
	}
	var fs findings
	readings := s.usable(controls, &fs)
	readings = r.withoutAmbient(s, readings, &fs)
	readings = r.withoutDrift(readings, &fs)
	whole := gather(readings, Whole)
	for _, control := range controls {
		points := gather(readings, control)
		if len(points) == 0 {
			continue
		}
		if control == CCT {
			r.whites(points, &fs)
			continue
		}
		r.control(s, control, points, &fs)
	}
	r.whole(s, whole, &fs)
	r.missing(controls, &fs)
	r.budget(s)
	for _, f := range r.Calibration.Check(s.Profile) {
		if !f.Warning || len(r.Curves) > 0 {
			fs = append(fs, Finding{Origin: f.Origin, Fault: !f.Warning, What: f.What, Cure: f.Cure})
		}
	}
	r.Findings = fs
	return r, nil
}

// usable passes over readings of no control of this light, and those out of any range.
func (s *Series) usable(controls []string, fs *findings) []Reading {
	out := make([]Reading, 0, len(s.Readings))
	for _, q := range s.Readings {
		switch {
		case q.Control != Whole && !slices.Contains(controls, q.Control):
			fs.fault(q.Origin, fmt.Sprintf("name one of %v, or %q for the whole light", controls, Whole),
				"%s has nothing called %q", s.Source, q.Control)
		case !(q.Level >= 0 && q.Level <= 1):
			fs.fault(q.Origin, "write the level between 0 % and 100 %, or as a code of the light", "%s: %s at a level of %.4g %%", s.Source, q.Control, 100*q.Level)
		case math.IsNaN(q.Lux):
			fs.fault(q.Origin, "write what the meter showed, as 1850 lx", "%s: %s at %.3g %% has no lux", s.Source, q.Control, 100*q.Level)
		case q.Lux < 0 || q.Lux > MaxLux:
			fs.fault(q.Origin, "see that the column is that of lux", "%s: %s at %.3g %% reads %.4g lx, which no meter shows", s.Source, q.Control, 100*q.Level, q.Lux)
		case q.XY != colour.XY{} && !colour.IsReal(q.XY):
			fs.fault(q.Origin, "see that the columns are those of x and y, and not exchanged", "%s: %s at %.3g %% has x %.4f, y %.4f, a colour no light can have", s.Source, q.Control, 100*q.Level, q.XY.X, q.XY.Y)
		default:
			out = append(out, q)
		}
	}
	return out
}

// muchAmbient is the share of the brightest reading from which the room counts.
const muchAmbient = 0.01

// withoutAmbient takes what was read in the dark out of every reading.
func (r *Result) withoutAmbient(s *Series, readings []Reading, fs *findings) []Reading {
	var room colour.XYZ
	n, brightest, darkError := 0, 0.0, 0.0
	var at fixtures.Origin
	for i := range readings {
		q := &readings[i]
		brightest = max(brightest, q.Lux)
		if q.IsDark() {
			l := q.light()
			if math.IsNaN(l.X) {
				l = equalEnergy.XYZ(l.Y) // a meter shows no colour in the dark
			}
			room = colour.XYZ{X: room.X + l.X, Y: room.Y + l.Y, Z: room.Z + l.Z}
			n++
			at = q.Origin
			darkError = max(darkError, q.Error*q.Lux)
		}
	}
	if n == 0 && s.OwnDark {
		return readings
	}
	if n == 0 {
		fs.warn(fixtures.Origin{}, "take one reading with every light off, and it is taken out of the others",
			"%s: nothing was read in the dark, so the room's light counts as the light's own", s.Source)
		return readings
	}
	k := 1 / float64(n)
	room = colour.XYZ{X: room.X * k, Y: room.Y * k, Z: room.Z * k}
	r.Ambient = room.Y
	if room.Y > muchAmbient*brightest {
		fs.warn(at, "black out the room, and see that no other light is on",
			"%s: the room gives %.3g lx, %.2g %% of the brightest reading; it is taken out, but it must not change", s.Source, room.Y, 100*room.Y/brightest)
	}
	out := slices.DeleteFunc(slices.Clone(readings), func(q Reading) bool { return q.IsDark() })
	for i := range out {
		q := &out[i]
		l := q.light()
		own := colour.XYZ{X: l.X - room.X, Y: l.Y - room.Y, Z: l.Z - room.Z}
		if q.Lux > 0 && own.Y > 0 {
			// What is left of a small difference repeats as badly as its parts, and
			// its colour goes to and fro between that of the light and the room's.
			repeat := max(q.Error, s.Terms.Repeat)
			roomError := max(darkError, s.Terms.Repeat*room.Y)
			q.Error = math.Hypot(repeat*q.Lux, roomError) / own.Y
			q.ColourError *= q.Lux / own.Y
			if mine, ok := own.XY(); ok && q.XY.Y > 0 && room.Y > 0 {
				roomXY, _ := room.XY()
				q.ColourError = math.Hypot(q.ColourError, math.Hypot(repeat*room.Y, roomError)/own.Y*mine.UV().Distance(roomXY.UV()))
			}
		}
		q.Lux = max(own.Y, 0)
		if q.XY.Y > 0 {
			q.XY = colour.XY{}
			if own.X > 0 && own.Y > 0 && own.Z > 0 {
				q.XY, _ = own.XY()
			}
		}
	}
	return out
}

// gather averages the readings of a control level by level, ascending.
func gather(readings []Reading, control string) []point {
	var points []point
	mine := make([]*Reading, 0, len(readings))
	for i := range readings {
		if readings[i].Control == control && !readings[i].IsDark() {
			mine = append(mine, &readings[i])
		}
	}
	slices.SortStableFunc(mine, func(a, b *Reading) int { return cmp.Compare(a.Level, b.Level) })
	for i := 0; i < len(mine); {
		j := i
		var sum colour.XYZ
		coloured := 0
		p := point{at: mine[i].Origin, level: mine[i].Level}
		lowest, highest := math.Inf(1), 0.0
		for ; j < len(mine) && mine[j].Level == mine[i].Level; j++ {
			q := mine[j]
			sum.Y += q.Lux
			if l := q.light(); !math.IsNaN(l.X) {
				sum.X, sum.Z = sum.X+l.X, sum.Z+l.Z
				coloured++
			}
			lowest, highest = min(lowest, q.Lux), max(highest, q.Lux)
			p.spread = max(p.spread, q.Error)
			p.blur = max(p.blur, q.ColourError)
		}
		n := float64(j - i)
		p.readings = j - i
		p.light = colour.XYZ{X: math.NaN(), Y: sum.Y / n, Z: math.NaN()}
		if coloured == j-i {
			p.light.X, p.light.Z = sum.X/n, sum.Z/n
		}
		if j-i > 1 && p.light.Y > 0 {
			// Of few readings their range tells most; half of it is about one sigma.
			p.spread = max(p.spread, (highest-lowest)/2/p.light.Y)
		}
		p.spread /= math.Sqrt(n)
		p.blur /= math.Sqrt(n)
		points = append(points, p)
		i = j
	}
	return points
}

// missing says which controls were not read.
func (r *Result) missing(controls []string, fs *findings) {
	if len(r.Curves) == 0 && len(r.Calibration.CCT.Table) == 0 {
		return // quick: only the whole light
	}
	for _, control := range controls {
		read := slices.ContainsFunc(r.Curves, func(c Curve) bool { return c.Control == control }) ||
			control == CCT && len(r.Calibration.CCT.Table) > 0
		if !read {
			fs.warn(fixtures.Origin{}, "read it too when there is time; until then the profile's figures hold", "%s: %s was not read", r.Source, control)
		}
	}
}

// equalEnergy stands for the colour of a room that nobody measured: little light,
// most often of a window or a screen.
var equalEnergy = colour.XY{X: 1.0 / 3, Y: 1.0 / 3}
