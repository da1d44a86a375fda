package files

import (
	"math"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/nearest"
	"limn/fixtures/photometry"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// grades are the names of the grades of diffusion.
func grades() []string {
	var names []string
	for _, g := range photometry.Grades() {
		names = append(names, g.Name)
	}
	return names
}

// pendingBounce is a bounce whose card is not known yet: cards stand behind the
// sources in the file.
type pendingBounce struct {
	source int
	value  tomlfile.Value
}

// emission reads how a source gives its light and what feeds it.
func (l *loader) emission(t *tomlfile.Table, s *fixtures.Source) {
	e := cue.Emission{Origin: origin(t.Pos()), Bounce: -1}
	if v, ok := t.Value("bounce"); ok {
		l.bounces = append(l.bounces, pendingBounce{len(l.shoot.Emissions), v})
	}
	if beam, ok := tomlfile.Read(t, "beam", quantity.ParseDegrees); ok {
		if !(beam.Degrees >= 1 && beam.Degrees <= 179) {
			l.ps.Error(t.ValuePos("beam"), `write the full angle at which half of the peak is left, as beam = "40 deg"`, "a beam of %s is out of range", beam)
		} else {
			e.Beam = beam
		}
	}
	e.Candela = intensities.read(t, "candela")
	if at1m, ok := tomlfile.Read(t, "at-1m", quantity.ParseIlluminance); ok {
		if t.Has("candela") {
			l.ps.Error(t.KeyPos("at-1m"), "take out one of the two: lux at 1 m are its candela", "%s has its candela twice", tomlfile.Quote(s.Name))
		}
		e.Candela = at1m.Lux // times the square of 1 m
	}
	e.Lumens = fluxes.read(t, "lumens")
	e.LEDPitch, _ = length(t, "led-pitch")
	e.LEDDepth, _ = length(t, "led-depth")
	l.flicker(t, &e)
	e.Watts, _ = tomlfile.Read(t, "watts", quantity.ParsePower)
	if circuit, ok := t.String("circuit"); ok {
		l.fit("circuit", circuit, t.ValuePos("circuit"), `circuit = "wall left"`)
		e.Circuit = circuit
	}
	if t.Has("cable") {
		l.cable(t.Table("cable"), &e)
	}
	l.shoot.Emissions = append(l.shoot.Emissions, e)
}

// flicker reads pwm = { frequency = "2 kHz", depth = "100 %", shape = "sine" }.
func (l *loader) flicker(t *tomlfile.Table, e *cue.Emission) {
	v, ok := t.Value("pwm")
	if !ok {
		return
	}
	sub, ok := v.Table()
	if !ok {
		l.ps.Error(v.Pos(), `write pwm = { frequency = "2 kHz" }, with depth = "30 %" if it does not go to nothing`, "pwm is %s, a table is wanted", v.Kind())
		return
	}
	sub.Require("frequency", `frequency = "2 kHz"`)
	e.PWM, _ = tomlfile.Read(sub, "frequency", quantity.ParseFrequency)
	if f := e.PWM.Hertz; sub.Has("frequency") && !(f >= 1 && f <= cue.MaxPWM) {
		l.ps.Error(sub.ValuePos("frequency"), `write for example frequency = "2 kHz"`, "a frequency of %s is out of range", e.PWM)
		e.PWM = quantity.Frequency{}
	}
	e.PWMDepth = l.portion(sub, "depth", "100 %")
	shape, _ := sub.OneOf("shape", "square", "sine")
	e.PWMSine = shape == "sine"
}

// cable reads cable = { length = "5 m", area = "0.75 mm2", volts = "24 V" }.
func (l *loader) cable(t *tomlfile.Table, e *cue.Emission) {
	for _, need := range []struct{ key, cure string }{{"length", `length = "5 m", one way`}, {"area", `area = "0.75 mm2"`}, {"volts", `volts = "24 V"`}} {
		t.Require(need.key, need.cure)
	}
	e.Cable.Length, _ = length(t, "length")
	e.Cable.Area = wires.read(t, "area")
	e.Cable.Volts = voltages.read(t, "volts")
	e.Cable.Spread, _ = t.Bool("spread")
}

// bounced looks up the cards that sources are turned to, once the cards are known.
func (l *loader) bounced() {
	for _, b := range l.bounces {
		name, ok := b.value.Text()
		i, known := l.cards[name]
		switch {
		case !ok:
			l.ps.Error(b.value.Pos(), `name a white card, as bounce = "bow white"`, "bounce is %s, the name of a card is wanted", b.value.Kind())
		case !known && !l.damaged:
			l.ps.Error(b.value.Pos(), nearest.DidYouMean(name, l.cardNames()), "no card is called %s", tomlfile.Quote(name))
		case known && l.shoot.Cards[i].Kind == cue.CardBlack:
			l.ps.Error(b.value.Pos(), "turn it to a white one", "the card %s is black", tomlfile.Quote(name))
		case known:
			l.shoot.Emissions[b.source].Bounce = i
		}
	}
}

// supply reads what feeds the lights.
func (l *loader) supply(t *tomlfile.Table) {
	s := &l.shoot.Supply
	s.Origin = origin(t.Pos())
	s.Volts = voltages.read(t, "volts")
	s.Breaker = currents.read(t, "breaker")
	s.PowerFactor = l.within(t, "power-factor", cue.MinPowerFactor, 1, "power-factor = 0.9")
	s.Battery = energies.read(t, "battery")
	if s.Battery == 0 {
		for i := range l.shoot.Emissions {
			if e := &l.shoot.Emissions[i]; e.Circuit == cue.CircuitBattery && t.Pos().Line > 0 && !t.Has("battery") {
				l.ps.Warn(tomlfile.Pos(e.Origin), `write battery = "98 Wh" in [supply]`, "%s is fed by a battery of unknown size", tomlfile.Quote(l.shoot.Rig.Sources[i].Name))
			}
		}
	}
}

// ambient reads the room around the set.
func (l *loader) ambient(t *tomlfile.Table) {
	l.shoot.Room.Ambient, _ = tomlfile.Read(t, "ambient", quantity.ParseIlluminance)
}

// inside asks about things that cannot stand where they are said to: within the
// subject's own length.
func (l *loader) inside() {
	s := &l.shoot.Subject
	half := math.Max(s.Length.Metres, s.Width.Metres) / 2
	c := &l.shoot.Camera
	if half > 0 && c.Distance.Metres > 0 && c.Distance.Metres <= half {
		l.ps.Warn(tomlfile.Pos(c.Origin), "distance is from the sensor mark to the table's axis: is its unit right, or that of the subject's length?",
			"the camera at %s stands inside the subject, which is %s long", c.Distance, s.Length)
	}
}
