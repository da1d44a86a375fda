package files

import (
	"fmt"

	"limn/cue"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// tableLimits reads what a motor table may do.
func (l *loader) tableLimits(t *tomlfile.Table) {
	m := &l.shoot.Turntable
	m.Speed, _ = tomlfile.Read(t, "speed", cue.ParseTurnSpeed)
	m.Ramp, _ = tomlfile.Read(t, "ramp", quantity.ParseDuration)
	m.Backlash, _ = tomlfile.Read(t, "backlash", quantity.ParseDegrees)
	if m.Speed < 0 {
		l.ps.Error(t.ValuePos("speed"), fmt.Sprintf(`write speed = "%g deg/s", which holds for both ways round`, -m.Speed), "a table's speed of %g deg/s has a sign", m.Speed)
		m.Speed = 0
	}
	if m.Ramp.Seconds > cue.MaxTableRamp {
		l.ps.Error(t.ValuePos("ramp"), fmt.Sprintf("write %g s or less", cue.MaxTableRamp), "a ramp of %s is out of range", m.Ramp)
	}
	if b := m.Backlash.Degrees; b < 0 || b > cue.MaxBacklash {
		l.ps.Error(t.ValuePos("backlash"), fmt.Sprintf("write the play you measured, up to %g degrees", cue.MaxBacklash), "a backlash of %s is out of range", m.Backlash)
	}
	drive, written := t.String("drive")
	if written && drive != "hand" {
		return // by motor, or a slip that is told of
	}
	for _, key := range []string{"speed", "ramp", "backlash"} {
		if t.Has(key) {
			l.ps.Error(t.KeyPos(key), "take it out, or name the source that turns the table in drive", "%s is for a motor, and the table is turned by hand", key)
		}
	}
}
