package files

import (
	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// The ranges of places. A set is a tabletop, so a distance beyond MaxDistance is
// likely a slip of the unit; it is only asked about.
const (
	maxElevation = 90.0 // degrees
	MaxDistance  = 20.0 // metres
)

// place reads where a source or card stands.
func (l *loader) place(t *tomlfile.Table) fixtures.Place {
	v, ok := t.Value("place")
	if !ok {
		return fixtures.Place{}
	}
	sub, ok := v.Table()
	if !ok {
		l.ps.Error(v.Pos(), `write place = { azimuth = 90, distance = "0.5 m" }`, "place is %s, a table is wanted", v.Kind())
		return fixtures.Place{}
	}
	return l.placeIn(sub)
}

// placeIn reads the keys of a place.
func (l *loader) placeIn(sub *tomlfile.Table) fixtures.Place {
	p := fixtures.Place{Known: true}
	sub.Require("azimuth", "azimuth = 90, seen from above: 0 is toward the camera, 90 is camera right")
	p.Azimuth, _ = l.angle(sub, "azimuth", cue.MaxAzimuth)
	p.Elevation, _ = l.angle(sub, "elevation", maxElevation)
	sub.Require("distance", `distance = "0.5 m"`)
	if d, ok := length(sub, "distance"); ok {
		p.Distance = d
		if d.Metres > MaxDistance {
			l.ps.Warn(sub.ValuePos("distance"), "is the unit right?", "a distance of %s is far from a table", d)
		}
	}
	if on, ok := sub.OneOf("rides", "table"); ok {
		p.Rides = on == "table"
	}
	return p
}

// angle reads an angle within so many degrees either way.
func (l *loader) angle(t *tomlfile.Table, key string, most float64) (quantity.Degrees, bool) {
	d, ok := tomlfile.Read(t, key, quantity.ParseDegrees)
	if ok && !(d.Degrees >= -most && d.Degrees <= most) {
		l.ps.Error(t.ValuePos(key), rangeOf(most), "%s %s is out of range", key, d)
		return quantity.Degrees{}, false
	}
	return d, ok
}
