package files

import (
	"fmt"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// turning reads the keys of a sequence by angle.
func (l *loader) turning(t *tomlfile.Table) cue.Turning {
	var m cue.Turning
	m.Drive, _ = t.OneOf("drive", cue.DriveWords()...)
	m.Speed, _ = tomlfile.Read(t, "speed", cue.ParseTurnSpeed)
	mark := func(key string) *float64 {
		if d, ok := l.angle(t, key, cue.MaxAzimuth); ok {
			return &d.Degrees
		}
		return nil
	}
	m.From, m.To = mark("from"), mark("to")
	if turns, ok := t.Float("turns"); ok {
		if turns > 0 && turns <= cue.MaxTurns {
			m.Turns = turns
		} else {
			l.ps.Error(t.ValuePos("turns"), fmt.Sprintf("write a number above 0, at most %d; a negative speed turns clockwise", cue.MaxTurns),
				"turns = %g is out of range", turns)
		}
	}
	m.PreRoll, _ = tomlfile.Read(t, "pre-roll", quantity.ParseDuration)
	m.Return, _ = t.Bool("return")
	at := func(key string) (o fixtures.Origin) {
		if t.Has(key) {
			o = origin(t.ValuePos(key))
		}
		return o
	}
	m.At = cue.TurningAt{
		Drive: at("drive"), Speed: at("speed"), From: at("from"), To: at("to"),
		Turns: at("turns"), PreRoll: at("pre-roll"),
	}
	return m
}

// completeTurning asks for what a movement of its kind needs, and reports what it has no use for.
func (l *loader) completeTurning(t *tomlfile.Table, m *cue.Turning) {
	if !t.Require("drive", `drive = "motor" for the table of the rig, "constant" for one that turns by itself, or "stream" for one that tells where it is`) || m.Drive == "" {
		return
	}
	useless := func(why string, keys ...string) {
		for _, key := range keys {
			if t.Has(key) {
				l.ps.Error(t.KeyPos(key), "take it out", "%s has no meaning %s", key, why)
			}
		}
	}
	switch m.Drive {
	case cue.DriveStream:
		useless("where the table itself tells its angle", "speed", "from", "to", "turns", "pre-roll", "return")
	case cue.DriveConstant:
		t.Require("speed", `speed = "4 deg/s", negative for clockwise`)
		useless("with a table that turns by itself", "pre-roll", "return")
	case cue.DriveMotor:
		t.Require("speed", `speed = "4 deg/s", negative for clockwise`)
	}
	if m.To != nil && m.Turns != float64(int(m.Turns)) {
		l.ps.Error(t.ValuePos("turns"), "write a whole number, or leave out to", "%g turns do not end at the last mark", m.Turns)
	}
}
