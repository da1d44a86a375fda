package profiles

import (
	"fmt"
	"math"
	"slices"
	"time"

	"limn/fixtures"
	"limn/fixtures/mix"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// CalibrationVersion is the version of calibration files that is read and written.
const CalibrationVersion = 1

// dateLayout is how a day is written: year, month, day (ISO 8601).
const dateLayout = "2006-01-02"

// ParseCalibration reads one calibration file. Everything wrong with it goes to
// ps, with its place; whether it fits a light is [fixtures.Calibration.Check]'s
// to say. ok is false if anything was wrong; the calibration then holds what
// could be read and is never nil.
func ParseCalibration(file string, src []byte, ps *tomlfile.Problems) (c *fixtures.Calibration, ok bool) {
	own := new(tomlfile.Problems)
	r := &calibrationReader{reader: reader{ps: own, profile: &fixtures.Profile{}}}
	r.c.Path = file
	if t := tomlfile.Parse(file, src, own); t != nil && r.version(t) {
		r.read(t)
		t.Close()
	}
	for _, problem := range own.Sorted() {
		if problem.Warning {
			ps.Warn(problem.Pos, problem.Cure, "%s", problem.What)
		} else {
			ps.Error(problem.Pos, problem.Cure, "%s", problem.What)
		}
	}
	return &r.c, !own.Failed()
}

// calibrationReader reads one file, with the help of what reads profiles.
type calibrationReader struct {
	reader
	c fixtures.Calibration
}

// version says whether the file may be read on: of another version, nothing
// sensible could be said.
func (r *calibrationReader) version(t *tomlfile.Table) bool {
	r.c.Origin = origin(t.Pos())
	if kind := otherKind(t); kind != "" {
		t.Keys() // none of them is unknown; the whole file is another
		r.ps.Error(t.Pos(), "name a file of what a meter said: version = 1, profile, [[emitter]] with what was measured", "this is %s, not a calibration", kind)
		return false
	}
	cure := fmt.Sprintf("version = %d", CalibrationVersion)
	if !t.Require("version", cure) {
		return true // said already; as if it were ours
	}
	v, ok := t.Int("version")
	if ok && v != CalibrationVersion {
		r.ps.Error(t.ValuePos("version"), fmt.Sprintf("this program reads version %d", CalibrationVersion), "the calibration has version %d", v)
		return false
	}
	return true
}

// otherKind names what a file without a version is instead of a calibration, by
// a table that no calibration has; "" where there is no telling.
func otherKind(t *tomlfile.Table) string {
	if t.Has("version") {
		return ""
	}
	for _, other := range []struct{ table, kind string }{
		{"source", "a rig file"},
		{"output", "a rig file"},
		{"subject", "a rig file"},
		{"cue", "a file of cues"},
		{"look", "a file of cues"},
		{"angle", "a file of cues"},
		{"slot", "a profile"},
	} {
		if t.Has(other.table) {
			return other.kind
		}
	}
	return ""
}

func (r *calibrationReader) read(t *tomlfile.Table) {
	c := &r.c
	c.Profile, _ = t.String("profile")
	c.Instrument, _ = t.String("instrument")
	c.Note, _ = t.String("note")
	if date, ok := t.String("date"); ok {
		c.Date = date
		if _, err := time.Parse(dateLayout, date); err != nil {
			r.ps.Error(t.ValuePos("date"), `write year, month and day, as date = "2026-11-20"`, "%s is no date", tomlfile.Quote(date))
		}
	}
	if d, ok := tomlfile.Read(t, "distance", quantity.ParseLength); ok {
		c.Distance = d
		if d.Metres == 0 {
			r.ps.Error(t.ValuePos("distance"), "write how far the meter was from the light's face, or leave it out for the aim point", "a distance of nothing")
		}
	}
	c.Full = r.lux(t, "full")
	for _, e := range r.rows(t, "emitter", mix.MaxEmitters) {
		r.emitter(e)
	}
	r.dimmer(t.Table("dimmer"))
	if t.Has("cct") {
		var s fixtures.Slot
		r.cctTable(t, &s)
		c.CCT = fixtures.MeasuredCCT{Origin: origin(t.ValuePos("cct")), Table: s.Table}
	}
	for _, row := range r.rows(t, "drift", fixtures.MaxDimmed) {
		r.drift(row)
	}
	for _, row := range r.rows(t, "warm-up", MaxWarmUp) {
		r.warmUp(row)
	}
}

// rows gives the tables of a list, as many as it may have.
func (r *calibrationReader) rows(t *tomlfile.Table, key string, most int) []*tomlfile.Table {
	rows := t.Tables(key)
	if len(rows) > most {
		r.ps.Error(rows[most].Pos(), "take some out", "%s has %d entries, more than %d", key, len(rows), most)
		for _, row := range rows[most:] {
			row.Keys() // none of them is unknown, they only come too late
		}
		rows = rows[:most]
	}
	return rows
}

// lux reads what a meter said; 0 if nothing.
func (r *calibrationReader) lux(t *tomlfile.Table, key string) float64 {
	q, ok := tomlfile.Read(t, key, quantity.ParseIlluminance)
	if ok && q.Lux == 0 {
		r.ps.Error(t.ValuePos(key), "measure with the light at full, or leave it out", "%s is nought", key)
	}
	return q.Lux
}

func (r *calibrationReader) emitter(t *tomlfile.Table) {
	m := fixtures.Measured{Origin: origin(t.Pos())}
	if t.Require("name", `write name = "warm", as the profile names it`) {
		m.Name, _ = t.String("name")
		m.Origin = origin(t.ValuePos("name"))
	}
	m.XY, _ = r.colour(t, "colour")
	if lm, ok := tomlfile.Read(t, "flux", lumens.parse); ok {
		m.Flux = lm
		if lm == 0 {
			r.ps.Error(t.ValuePos("flux"), "measure with the light at full, or leave it out", "flux is nought")
		}
	}
	m.Lux = r.lux(t, "lux")
	m.Response = r.measuredResponse(t)
	m.Floor = r.floor(t)
	for _, row := range r.rows(t, "dimmed", fixtures.MaxDimmed) {
		d := fixtures.Dimmed{Origin: origin(row.Pos())}
		d.Level = r.level(row)
		row.Require("colour", `write colour = "xy 0.45 0.41", what it is at that level`)
		var ok bool
		if d.XY, ok = r.colour(row, "colour"); ok && d.Level > 0 {
			m.Dimmed = append(m.Dimmed, d)
		}
	}
	if m.Name == "" {
		return // said already
	}
	if !slices.ContainsFunc([]string{"colour", "flux", "lux", "response", "floor", "dimmed"}, t.Has) {
		r.ps.Warn(t.Pos(), "write its colour and lux, or take it out", "nothing is measured of emitter %s", tomlfile.Quote(m.Name))
	}
	r.c.Emitters = append(r.c.Emitters, m)
}

func (r *calibrationReader) measuredResponse(t *tomlfile.Table) *mix.Response {
	if !t.Has("response") {
		return nil
	}
	curve := r.response(t)
	return &curve
}

func (r *calibrationReader) dimmer(t *tomlfile.Table) {
	if t == nil {
		return
	}
	r.c.Dimmer = fixtures.MeasuredDimmer{Origin: origin(t.Pos()), Response: r.measuredResponse(t), Floor: r.floor(t)}
}

// lastDigit is what reading percent may add to a share at the end of its range.
const lastDigit = 1e-12

// level reads the share of its full light at which something was measured; 0 if
// there is none.
func (r *calibrationReader) level(t *tomlfile.Table) float64 {
	if !t.Require("level", `write level = "50 %", the share of its full light`) {
		return 0
	}
	q, ok := tomlfile.Read(t, "level", quantity.ParsePercent)
	if !ok {
		return 0
	}
	held := min(max(q.Share, fixtures.MinDimmedLevel), fixtures.MaxDimmedLevel)
	if math.Abs(held-q.Share) > lastDigit {
		r.ps.Error(t.ValuePos("level"), fixtures.DimmedLevels(), "a level of %s", q)
		return 0
	}
	return held
}

func (r *calibrationReader) drift(t *tomlfile.Table) {
	d := fixtures.WhiteDrift{Origin: origin(t.Pos()), Level: r.level(t)}
	if m, ok := t.Float("mired"); ok {
		d.Mired = r.within(t, "mired", m, -fixtures.MaxMiredDrift, fixtures.MaxMiredDrift, "")
	}
	if duv, ok := t.Float("tint"); ok {
		d.Duv = r.within(t, "tint", duv, -fixtures.MaxDuvDrift, fixtures.MaxDuvDrift, "")
	}
	if !t.Has("mired") && !t.Has("tint") && !t.Damaged() {
		r.ps.Error(t.Pos(), "write mired = 6 (+ warmer) or tint = -0.004 (- pinker), against what it is at full", "a drift of nothing")
	}
	if d.Level > 0 {
		r.c.Drift = append(r.c.Drift, d)
	}
}

func (r *calibrationReader) warmUp(t *tomlfile.Table) {
	if !t.Require("after", `write after = "10 min"`) || !t.Require("loss", `write loss = "4 %"`) {
		return
	}
	after, ok1 := tomlfile.Read(t, "after", quantity.ParseDuration)
	loss, ok2 := tomlfile.Read(t, "loss", quantity.ParsePercent)
	if !ok1 || !ok2 {
		return
	}
	if n := len(r.c.WarmUp); n > 0 && after.Seconds <= r.c.WarmUp[n-1].After {
		r.ps.Error(t.ValuePos("after"), "write the times in order", "after %s does not come later than the line before", after)
		return
	}
	r.c.WarmUp = append(r.c.WarmUp, fixtures.WarmUp{After: after.Seconds, Loss: loss.Share})
}
