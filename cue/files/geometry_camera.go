package files

import (
	"math"
	"strconv"
	"strings"

	"limn/cue"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// optics reads what only reports ask of a camera.
func (l *loader) optics(t *tomlfile.Table) {
	o := &l.shoot.Camera.Optics
	o.PupilRatio = l.within(t, "pupil-ratio", cue.MinPupilRatio, cue.MaxPupilRatio, "pupil-ratio = 1.2")
	o.Effective, _ = t.Bool("effective")
	o.ND = l.density(t)
	o.Transmission = l.portion(t, "transmission", "85 %")
	o.Readout, _ = tomlfile.Read(t, "readout", quantity.ParseDuration)
	if o.Readout.Seconds > 1 {
		l.ps.Error(t.ValuePos("readout"), `it takes milliseconds, as readout = "16 ms"`, "a readout of %s is more than 1 s", o.Readout)
		o.Readout = quantity.Duration{}
	}
	if n, ok := t.Int("rows"); ok {
		if n < 1 || n > cue.MaxRows {
			l.ps.Error(t.ValuePos("rows"), "write the rows of the picture, as rows = 2160", "%d rows are out of range", n)
		} else {
			o.Rows = n
		}
	}
	o.Mains, _ = tomlfile.Read(t, "mains", quantity.ParseFrequency)
	if f := o.Mains.Hertz; f != 0 && f != 50 && f != 60 {
		l.ps.Error(t.ValuePos("mains"), `write mains = "50 Hz" or "60 Hz"`, "no mains has %s", o.Mains)
		o.Mains = quantity.Frequency{}
	}
	o.Headroom, o.HasHeadroom = tomlfile.Read(t, "headroom", quantity.ParseStops)
	if o.HasHeadroom && !(o.Headroom.Stops > 0) {
		l.ps.Error(t.ValuePos("headroom"), `write how far above the mid-tone the camera clips, as headroom = "3.5 stops"`, "a headroom of %s leaves nothing above the mid-tone", o.Headroom)
		o.HasHeadroom = false
	}
	o.Blur, _ = length(t, "blur")
	if o.Blur.Metres > maxBlur {
		l.ps.Error(t.ValuePos("blur"), `it is told on the sensor, as blur = "0.03 mm"`, "a blur of %s is more than any picture bears", o.Blur)
		o.Blur = quantity.Length{}
	}
	o.MeterC = l.within(t, "meter-c", cue.MinMeterC, cue.MaxMeterC, "meter-c = 250")
	o.MeterK = l.within(t, "meter-k", cue.MinMeterK, cue.MaxMeterK, "meter-k = 12.5")
	l.aim(t)
}

// densityPerStop is the optical density that takes one stop: log10 2.
const densityPerStop = 0.30102999566398120

// maxBlur is the most blur on a sensor that is no slip of the unit, metres.
const maxBlur = 0.001

// aim reads how high the camera stands.
func (l *loader) aim(t *tomlfile.Table) {
	o := &l.shoot.Camera.Optics
	o.Height, _ = length(t, "height")
	o.Elevation, o.HasElevation = l.angle(t, "elevation", maxElevation)
	if o.HasElevation && !o.Height.IsZero() {
		l.ps.Error(t.KeyPos("elevation"), "take out one of the two", "the camera has a height and an elevation")
	}
	if d := l.shoot.Camera.Distance; o.Height.Metres > 0 && d.Metres > 0 && o.Height.Metres-l.shoot.Subject.Height.Metres/2 >= d.Metres {
		l.ps.Error(t.ValuePos("height"), "it is that of the lens above the top of the table", "a camera %s above the table is not %s from its axis", o.Height, d)
		o.Height = quantity.Length{}
	}
}

// portion reads a percentage above nothing.
func (l *loader) portion(t *tomlfile.Table, key, example string) quantity.Percent {
	p, ok := tomlfile.Read(t, key, quantity.ParsePercent)
	if ok && p.Share == 0 {
		l.ps.Error(t.ValuePos(key), "write for example "+key+" = \""+example+"\"", "the %s is nought", key)
		return quantity.Percent{}
	}
	return p
}

// density reads neutral filters: a density as 0.9 or "0.9", stops as "3 stops", or
// the factor of a name as "ND8". A bare whole number may be meant either way.
func (l *loader) density(t *tomlfile.Table) float64 {
	v, ok := t.Value("nd")
	if !ok {
		return 0
	}
	cure := `write the density as nd = 0.9, or "3 stops", or the factor as "ND8"`
	d, known := v.Number()
	if text, isText := v.Text(); isText {
		text = strings.TrimSpace(text)
		if name, ok := strings.CutPrefix(strings.ToUpper(text), "ND"); ok {
			factor, err := strconv.ParseFloat(strings.TrimSpace(name), 64)
			d, known = math.Log10(factor), err == nil && factor >= 1
		} else if s, err := quantity.ParseStops(text); err == nil {
			d, known = s.Stops*densityPerStop, true
		} else {
			f, err := strconv.ParseFloat(text, 64)
			d, known = f, err == nil
		}
	}
	if !known || !(d >= 0 && d <= cue.MaxND) {
		l.ps.Error(v.Pos(), cure, "these neutral filters cannot be read, or lie outside of densities 0 to %g", cue.MaxND)
		return 0
	}
	return d
}
