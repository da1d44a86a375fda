package plan

import (
	"fmt"
	"math"

	"limn/cue"
	"limn/fixtures/supply"
)

// feed is what a cue takes at full size.
func (e *enlarger) feed(c *FullCue, watts float64, missing string) {
	c.Watts = lawWatt.figure("watts", "power", "W", watts, Input{"efficacy", "lm/W", "of the lights", e.opt.Efficacy}).as(Watts)
	if missing != "" {
		c.Watts.Why.Outside = "not counted: needs " + missing
	}
	s := &e.shoot.Supply
	volts, breaker, factor := written(s.Volts, needVolts), written(s.Breaker, needBreaker), written(s.PowerFactor, needFactor)
	c.Amperes = ask("amperes", "current", "saf-amps", "A", with("P", is(watts)), with("V", volts), with("pf", factor)).as(unit(2, "A"))
	carries := ask("", "", "saf-circuit", "A_continuous", with("breaker_A", breaker), with("V", volts), with("pf", factor))
	count := law{"⌈amperes/(0.8·breaker)⌉", "the 80 % of NEC 210.20(A); elsewhere common practice", supply.CautionCircuit}
	c.Count = count.absent("circuits", "circuits", "", missingOf([]term{with("", c.Amperes.known()), with("", carries.known())}))
	if c.Count.Missing == "" {
		c.Count = count.figure("circuits", "circuits", "", math.Ceil(c.Amperes.Value/carries.Value), Input{"A", "A", "current", c.Amperes.Value}, Input{"carries", "A", "each, for hours", carries.Value}).as(unit(4, ""))
	}
}

// playedRate is the rate at which films are played where nobody wrote one.
const playedRate = 24.0

// motion is how speeds scale.
func (e *enlarger) motion(l *lens) {
	fps := l.fps.or(playedRate)
	rate := ask("fall-rate", "frame rate for what falls or splashes on the model", "scl-fps", "fps", with("s", is(e.scale)), with("fps", fps)).as(unit(3, "fps"))
	cost := ask("fall-stops", "more light for it", "scl-fps", "light_stops", with("s", is(e.scale)), with("fps", fps)).as(Stops)
	speed := ask("model-speed", "1 m/s at full size is on the model, at that rate", "scl-speed", "v_model", with("v_full", is(1)), with("s", is(e.scale)), with("fps_shoot", rate.known()), with("fps_play", fps))
	speed.Unit = "m/s"
	e.out.Motion = []Figure{rate, cost, speed.as(unit(2, "m/s"))}
	limits, _, _, _ := e.shoot.TableLimits()
	if d := e.shoot.Camera.Distance.Metres; d > 0 && !e.shoot.Turntable.Hand {
		orbit := law{"ω·d·s", "geometry", "the camera goes round, the subject stays"}
		e.out.Motion = append(e.out.Motion, orbit.figure("orbit-speed", "speed of the camera on its way round, at the table's speed", "m/s", limits*math.Pi/180*d*e.scale).as(unit(2, "m/s")))
	}
}

// words says what turns, and what to be careful of.
func (e *enlarger) words() {
	var round, stay, hang []string
	for j := range e.shoot.Rig.Sources {
		src := &e.shoot.Rig.Sources[j]
		switch {
		case e.most[j] == (known{}):
		case src.Place.Rides:
			stay = append(stay, src.Name)
		default:
			round = append(round, src.Name)
		}
		if src.Place.Elevation.Degrees >= Overhead && e.most[j] != (known{}) {
			hang = append(hang, src.Name)
		}
	}
	e.out.Turns = append(e.out.Turns,
		fmt.Sprintf("if the %s turns on the spot, everything stands as on the table", "subject"),
		fmt.Sprintf("if it stays, camera, backdrop, cards and %s go round it, the other way: by -45° where the table turns by 45°", cue.ShortList(round)))
	if len(stay) > 0 {
		e.out.Turns = append(e.out.Turns, cue.ShortList(stay)+" rides on the table: it stays with the subject")
	}
	if len(hang) > 0 {
		e.out.Turns = append(e.out.Turns, cue.ShortList(hang)+" overhead goes round too, unless it looks the same from all sides: ask which way the stage works")
		e.out.Cautions = append(e.out.Cautions, supply.CautionHang)
	}
	e.out.Cautions = append(e.out.Cautions, "These are light quantities, not a rigging design. A large source over people needs a rigger and the venue's structural approval.", supply.CautionCircuit)
	if drop := e.cable(); drop.Known() {
		e.out.Notes = append(e.out.Notes, fmt.Sprintf("a circuit at what it carries for hours loses %s on %s of %s mm²", drop.Text, Near(e.opt.Cable), significant(e.opt.Wire, 3)))
	}
	e.out.Notes = append(e.out.Notes, fmt.Sprintf("lights of %s lm/W, heads of %s; --efficacy and --head take others", significant(e.opt.Efficacy, 3), Lumens(e.opt.Head)))
}

// cable is what a full circuit loses on its way.
func (e *enlarger) cable() Figure {
	s := &e.shoot.Supply
	carries := ask("", "", "saf-circuit", "A_continuous", with("breaker_A", written(s.Breaker, needBreaker)), with("V", written(s.Volts, needVolts)), with("pf", written(s.PowerFactor, needFactor)))
	return ask("drop", "lost on the cable", "saf-drop", "drop_pct", with("V", written(s.Volts, needVolts)), with("I", carries.known()), with("length", is(e.opt.Cable)), with("area_mm2", is(e.opt.Wire))).as(unit(2, "%"))
}
