package main

import (
	"math"
	"strconv"

	"limn/cue"
	"limn/cue/journal"
	"limn/dmx"
	"limn/fixtures"
	"limn/fixtures/quantity"
)

// stateOf is the set as a snapshot shows it, for the journal. frames are those of the same
// instant; nil where they are not known any more.
func stateOf(s *cue.Snapshot, shoot *cue.Shoot, frames []dmx.Frame) journal.State {
	azimuth := s.Azimuth
	st := journal.State{Cue: s.CueName, Azimuth: &azimuth, Looks: append([]string(nil), s.Looks...)}
	if frames != nil {
		st.Slots = journal.FrameSum(frames)
	}
	total, metered := 0.0, false
	for i := range s.Sources {
		if i >= len(shoot.Rig.Sources) || !givesLight(&shoot.Rig.Sources[i]) {
			continue
		}
		l, lit := sourceLight(&s.Sources[i], &shoot.Rig.Sources[i])
		if !lit {
			continue
		}
		st.Lights = append(st.Lights, l)
		if l.Lux != nil {
			total, metered = total+*l.Lux, true
		}
	}
	if metered {
		st.Lux = &total
	}
	change := cue.CameraChange{}
	if s.Cue >= 0 && s.Cue < len(shoot.Resolved) {
		res := &shoot.Resolved[s.Cue]
		st.Angle, change = res.Angle, res.Camera
		for _, c := range res.Cards {
			if !c.Out {
				st.Cards = append(st.Cards, journal.Card{Name: shoot.Cards[c.Card].Name, Place: placeText(c.Place), Mark: c.Mark})
			}
		}
	}
	st.Camera = cameraOf(&shoot.Camera, change)
	return st
}

// sourceLight is what one source gives; lit is false where it gives nothing. What is set by hand is told
// nothing, and gives what is asked of it.
func sourceLight(s *cue.SourceSnapshot, src *fixtures.Source) (l journal.Light, lit bool) {
	light := s.Reached
	if src.Hand {
		light = s.Asked
	}
	if !(light.Y > 0) {
		return l, false
	}
	l = journal.Light{Source: src.Name, Level: s.Level, Colour: s.Colour, Trimmed: s.Trimmed}
	if !math.IsNaN(s.Headroom) {
		share := math.Exp2(-s.Headroom)
		l.Share = &share
	}
	if src.Full > 0 {
		lux := src.Full * light.Y
		l.Lux = &lux
	}
	if xy, ok := light.XY(); ok {
		l.XY = &[2]float64{xy.X, xy.Y}
		if w, ok := xy.White(); ok {
			l.Kelvin, l.Tint = &w.Kelvin, &w.Duv
		}
	}
	return l, true
}

// cameraOf is the camera's settings as a cue has them, in the user's own units.
func cameraOf(c *cue.Camera, change cue.CameraChange) map[string]string {
	m := map[string]string{}
	put := func(name, text string) {
		if text != "" {
			m[name] = text
		}
	}
	put("aperture", settingText(change.Aperture, c.Aperture, c.Aperture != quantity.Aperture{}))
	put("shutter", settingText(change.Shutter, c.Shutter, c.Shutter != quantity.Shutter{}))
	put("focal", settingText(change.Focal, c.Focal, c.Focal.Metres > 0))
	put("distance", settingText(change.Distance, c.Distance, c.Distance.Metres > 0))
	iso, fps := c.ISO, c.FPS
	if change.ISO != nil {
		iso = *change.ISO
	}
	if change.FPS != nil {
		fps = *change.FPS
	}
	if iso > 0 {
		put("iso", strconv.Itoa(iso))
	}
	if fps > 0 {
		put("fps", strconv.FormatFloat(fps, 'g', -1, 64))
	}
	put("white", c.WhiteSpec.String())
	return m
}

// settingText is a setting of the cue, else that of the rig, if it was written.
func settingText[T interface{ String() string }](change *T, rig T, written bool) string {
	switch {
	case change != nil:
		return (*change).String()
	case written:
		return rig.String()
	}
	return ""
}

// placeText is where something stands, as it is written.
func placeText(p fixtures.Place) string {
	if !p.Known {
		return ""
	}
	text := p.Azimuth.String() + ", " + p.Distance.String()
	if p.Elevation.Degrees != 0 {
		text = p.Azimuth.String() + ", " + p.Elevation.String() + " up, " + p.Distance.String()
	}
	if p.Rides {
		text += ", on the table"
	}
	return text
}
