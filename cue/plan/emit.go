package plan

import (
	"fmt"
	"math"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/photometry"
	"limn/fixtures/space"
)

// narrow is the beam below which a source is not taken for a cosine emitter, whose
// beam has 120°.
const narrow = 110.0

// emitter is one source as it stands in one cue, at the most light it gives (Y = 1).
type emitter struct {
	place     space.Vec
	face      space.Face
	luminance float64 // of its face; 0 = a small source
	intensity float64 // of a small source, cd
	measured  bool    // by a reading at the aim point
	moved     bool    // the reading was taken with the source elsewhere
	outside   string  // why the law of the source does not hold here
	missing   string  // what would have to be written; "" = it is known
	why       Why
	inputs    []Input
}

// laws of light that stand here: geometry at any place and tilt.
var (
	lawFace = law{
		"E = L/2 · Σ angle·normal over the edges of the face above the surface's horizon",
		"Lambert, Photometria, 1760", "an even, Lambertian face: diffused, or bare diodes of 120°",
	}
	lawPoint    = law{"E = I·cosθ/d²", "inverse square law; five-times rule of the IES lighting dictionary", "5 times the size of the source away or more"}
	lawMeasured = law{"full · Y", "the meter reading full, or the calibration", "the meter flat at the aim point, facing the source alone"}
	lawCarried  = law{
		"full · Y · (face at its place in this cue)/(face where it was measured)", "the meter reading, and Lambert's law for the way there",
		"measured where the rig has the source",
	}
	lawCardFace = law{"L = ρ·E/π of the card, then Lambert's law for its face", "Lambert, Photometria, 1760", "matt card, lit evenly: E is that at its middle"}
)

// placeOf is where a source stands in a cue.
func placeOf(s *cue.Shoot, r *cue.Resolved, i int) (fixtures.Place, bool) {
	for _, p := range r.Places {
		if p.Source == i && p.Place.Known {
			return p.Place, true
		}
	}
	return s.Rig.Sources[i].Place, false
}

// at is a place of the rig in the set's axes, with the table at an azimuth.
func at(p *fixtures.Place, azimuth float64) space.Vec {
	a := p.Azimuth.Degrees
	if p.Rides {
		a += azimuth
	}
	return space.At(a, p.Elevation.Degrees, p.Distance.Metres)
}

// needPlace words what is missing for a source.
func needPlace(name string) string {
	return fmt.Sprintf(`the place of %s, as place = { azimuth = 90, elevation = 15, distance = "0.5 m" }`, name)
}

func needSize(name string) string {
	return fmt.Sprintf(`the size of %s, as width = "0.3 m" and height = "0.2 m"`, name)
}

// emitterOf finds how source i gives its light in a cue. flux is what its profile
// tells of the lumens of one unit, 0 = nothing.
func emitterOf(s *cue.Shoot, r *cue.Resolved, i int, flux float64) emitter {
	src, e := &s.Rig.Sources[i], s.Emission(i)
	p, moved := placeOf(s, r, i)
	if e.Bounce >= 0 {
		return bouncedEmitter(s, r, i, &e, &p)
	}
	w, h := src.Width.Metres, src.Height.Metres
	m := emitter{measured: src.Full > 0, missing: missingIf(!p.Known, needPlace(src.Name))}
	if m.missing != "" {
		return m
	}
	m.place = at(&p, r.Azimuth)
	m.face = space.Facing(m.place, space.Vec{}, w, h)
	area := w * h
	loss := lossOf(src)
	beamed := e.Beam.Degrees > 0 && e.Beam.Degrees < narrow && !loss.Full
	if src.Full > 0 {
		home := src.Place
		if !home.Known {
			home = p
		}
		m.read(src.Full, &home, area > 0 && !beamed, w, h)
		m.moved = moved && home.Known && at(&home, r.Azimuth) != m.place
	} else {
		m.compute(src, &e, flux, loss, beamed)
	}
	if size := max(w, h); m.luminance == 0 && m.place.Len() < photometry.FarTimes*size {
		m.outside = fmt.Sprintf("%s away is less than %g times its size of %s", Near(m.place.Len()), photometry.FarTimes, Near(size))
	}
	return m
}

// read takes the meter reading: what it says of luminance or intensity.
func (m *emitter) read(full float64, home *fixtures.Place, isFace bool, w, h float64) {
	stood := space.At(home.Azimuth.Degrees, home.Elevation.Degrees, home.Distance.Metres)
	if isFace {
		m.luminance = full / photometry.Face(1, space.Facing(stood, space.Vec{}, w, h), space.Vec{}, stood.Unit())
	} else {
		m.intensity = photometry.Intensity(full, stood.Len())
	}
	m.inputs = []Input{{"full", "lx", "reading at the aim point with every emitter full", full}}
}

// compute takes what is written of its intensity, or its flux.
func (m *emitter) compute(src *fixtures.Source, e *cue.Emission, flux float64, loss photometry.Grade, beamed bool) {
	area := src.Width.Metres * src.Height.Metres
	tau := photometry.Transmission(loss.Stops)
	if e.Lumens > 0 {
		flux = e.Lumens
	} else {
		flux *= float64(units(src))
	}
	m.inputs = append(m.inputs, Input{"loss", "stops", "of its diffusion " + loss.Name, loss.Stops})
	switch {
	case e.Candela > 0 && (area == 0 || beamed):
		m.intensity = tau * e.Candela
		m.inputs = append(m.inputs, Input{"I", "cd", "intensity at its peak", e.Candela})
	case e.Candela > 0:
		m.luminance = tau * e.Candela / area // of a cosine emitter, straight on: I = L·A
		m.inputs = append(m.inputs, Input{"I", "cd", "intensity straight on", e.Candela}, Input{"A", "m²", "its area", area})
	case flux > 0 && area > 0 && !beamed:
		m.luminance = photometry.Diffuser(flux, tau, area)
		m.inputs = append(m.inputs, Input{"flux", "lm", "every emitter full", flux}, Input{"A", "m²", "its area", area})
	case flux > 0 && e.Beam.Degrees > 0:
		_, each := photometry.SmoothBeam(1, e.Beam.Degrees)
		m.intensity = tau * flux / each
		m.inputs = append(m.inputs, Input{"flux", "lm", "every emitter full", flux}, Input{"beam", "°", "full angle at half of the peak", e.Beam.Degrees})
	case flux > 0:
		m.missing = needSize(src.Name) + `, or its beam = "40 deg"`
	default:
		m.missing = fmt.Sprintf(`a meter reading of %s, as full = "850 lx", or its candela or lumens`, src.Name)
	}
}

func units(src *fixtures.Source) int { return max(1, len(src.Addresses)) * max(1, src.Units) }

// lossOf is the diffusion before a source.
func lossOf(src *fixtures.Source) photometry.Grade {
	g, ok := photometry.GradeOf(src.Diffusion)
	if !ok {
		return photometry.Grade{Name: "none"}
	}
	return g
}

// bouncedEmitter is a source that is turned to a card, which then is what shines.
func bouncedEmitter(s *cue.Shoot, r *cue.Resolved, i int, e *cue.Emission, p *fixtures.Place) emitter {
	src, card := &s.Rig.Sources[i], &s.Cards[e.Bounce]
	m := emitter{measured: src.Full > 0}
	stand, ok := cardFace(s, r, e.Bounce)
	switch {
	case !ok.Known:
		m.missing = fmt.Sprintf("a place of the card %s in this cue, which %s is turned to", card.Name, src.Name)
		return m
	case card.Width.IsZero() || card.Height.IsZero():
		m.missing = needSize(card.Name)
		return m
	}
	m.place, m.face = stand.Middle, stand
	if src.Full > 0 {
		m.luminance = src.Full / photometry.Face(1, stand, space.Vec{}, stand.Middle.Unit())
		m.inputs = []Input{{"full", "lx", "reading at the aim point off the card", src.Full}}
		return m
	}
	intensity := e.Candela
	if intensity == 0 && e.Lumens > 0 && e.Beam.Degrees > 0 {
		_, each := photometry.SmoothBeam(1, e.Beam.Degrees)
		intensity = e.Lumens / each
	}
	switch {
	case !p.Known:
		m.missing = needPlace(src.Name)
	case intensity == 0:
		m.missing = fmt.Sprintf("the candela of %s, or its lumens and beam: it is turned to a card", src.Name)
	default:
		lamp := at(p, r.Azimuth)
		way := lamp.Sub(stand.Middle)
		cos := way.Unit().Dot(stand.Normal())
		if cos <= 0 {
			m.missing = fmt.Sprintf("a place of %s before the card %s, it stands behind it", src.Name, card.Name)
			return m
		}
		rho := reflectanceOf(card)
		lux := photometry.Transmission(lossOf(src).Stops) * intensity * cos / way.Dot(way)
		m.luminance = photometry.Bounce(lux, rho)
		m.inputs = []Input{
			{"I", "cd", "intensity at its peak", intensity}, {"E", "lx", "on the card", lux}, {"rho", "", "reflectance of the card", rho},
		}
		m.why = Why{Law: lawCardFace.text, Source: lawCardFace.source, Valid: lawCardFace.valid}
	}
	return m
}

// onto is the illuminance of the emitter, at share y of its most, at a point of a
// surface of a unit normal.
func (m *emitter) onto(y float64, to, normal space.Vec) float64 {
	if m.luminance > 0 {
		return photometry.Face(float64(y*m.luminance), m.face, to, normal)
	}
	way := m.place.Sub(to)
	return math.Max(0, float64(y*m.intensity)*way.Unit().Dot(normal)/way.Dot(way))
}

// facing is the illuminance at the aim point on a surface that faces the source.
func (m *emitter) facing(y float64) float64 { return m.onto(y, space.Vec{}, m.place.Unit()) }

// figure explains an illuminance of the emitter.
func (m *emitter) figure(key, title string, lux, y float64, straight bool) Figure {
	l := lawPoint
	switch {
	case m.measured && m.moved:
		l = lawCarried
	case m.measured && straight:
		l = lawMeasured
	case m.luminance > 0:
		l = lawFace
	}
	f := l.figure(key, title, "lx", lux, append(m.inputs[:len(m.inputs):len(m.inputs)], Input{"Y", "", "share of the most it gives", y})...)
	if !straight {
		if m.luminance > 0 {
			f.Why.Inputs = append(f.Why.Inputs, Input{"L", "cd/m²", "luminance of its face, at full", m.luminance})
		} else {
			f.Why.Inputs = append(f.Why.Inputs, Input{"I", "cd", "intensity, at full", m.intensity})
		}
	}
	if m.why.Law != "" && !m.measured {
		f.Why.Law, f.Why.Source, f.Why.Valid = m.why.Law, m.why.Source, m.why.Valid
	}
	if !m.measured || m.moved || !straight {
		f.Why.Outside = m.outside
	}
	return f.as(Lux)
}
