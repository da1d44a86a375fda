package files

import (
	"limn/cue"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// length reads a length that is more than nothing.
func length(t *tomlfile.Table, key string) (quantity.Length, bool) {
	q, ok := tomlfile.Read(t, key, quantity.ParseLength)
	if ok && q.Metres == 0 {
		t.Problems().Error(t.ValuePos(key), `write for example "0.55 m"`, "the %s is nought", key)
		return quantity.Length{}, false
	}
	return q, ok
}

// camera reads the rig's camera.
func (l *loader) camera(t *tomlfile.Table) {
	c := &l.shoot.Camera
	c.Origin = origin(t.Pos())
	c.Sensor, _ = tomlfile.Read(t, "sensor", quantity.ParseSensor)
	set := l.settings(t)
	if set.Focal != nil {
		c.Focal = *set.Focal
	}
	if set.Distance != nil {
		c.Distance = *set.Distance
	}
	if set.Aperture != nil {
		c.Aperture = *set.Aperture
	}
	if set.Shutter != nil {
		c.Shutter = *set.Shutter
	}
	if set.FPS != nil {
		c.FPS = *set.FPS
	}
	if set.ISO != nil {
		c.ISO = *set.ISO
	}
	if c.Shutter.IsAngle() && c.FPS == 0 && !t.Has("fps") {
		l.ps.Error(t.ValuePos("shutter"), "write fps = 24 beside it, or a time as \"1/50 s\"", "the shutter angle %s is no time without a frame rate", c.Shutter)
	}
	l.optics(t)
	l.white(t)
}

// settings reads the settings that a cue may change.
func (l *loader) settings(t *tomlfile.Table) cue.CameraChange {
	c := cue.CameraChange{Origin: origin(t.Pos())}
	if q, ok := tomlfile.Read(t, "shutter", quantity.ParseShutter); ok {
		c.Shutter = &q
	}
	if q, ok := tomlfile.Read(t, "aperture", quantity.ParseAperture); ok {
		c.Aperture = &q
	}
	if n, ok := t.Int("iso"); ok {
		if n < cue.MinISO || n > cue.MaxISO {
			l.ps.Error(t.ValuePos("iso"), "write for example iso = 400", "ISO %d is out of range", n)
		} else {
			c.ISO = &n
		}
	}
	if n, ok := t.Float("fps"); ok {
		if !(n >= cue.MinFPS && n <= cue.MaxFPS) {
			l.ps.Error(t.ValuePos("fps"), "write for example fps = 24", "%g frames a second is out of range", n)
		} else {
			c.FPS = &n
		}
	}
	if q, ok := length(t, "focal"); ok {
		c.Focal = &q
	}
	if q, ok := length(t, "distance"); ok {
		c.Distance = &q
	}
	return c
}

// white reads the camera's white, which colours called "white" stand for.
func (l *loader) white(t *tomlfile.Table) {
	c := &l.shoot.Camera
	spec, err := colour.ParseSpec(cue.DefaultWhite)
	if err != nil {
		panic(err) // a constant
	}
	c.WhiteSpec = spec
	if s, ok := tomlfile.Read(t, "white", colour.ParseSpec); ok {
		switch _, isWhite := s.Resolve(colour.White{Kelvin: 5600}).White(); {
		case s.FollowsCamera():
			l.ps.Error(t.ValuePos("white"), `write kelvin, as in white = "5600 K"`, "the camera's white cannot be told by itself: %s", tomlfile.Quote(s.String()))
		case !isWhite:
			l.ps.Error(t.ValuePos("white"), `write kelvin, with a tint if there is one: white = "5600 K tint +0.003"`, "%s is not a white", tomlfile.Quote(s.String()))
		default:
			c.WhiteSpec = s
		}
	}
	c.White, _ = c.WhiteSpec.Resolve(colour.White{}).White()
}
