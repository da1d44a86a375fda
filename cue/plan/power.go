package plan

import (
	"fmt"
	"math"
	"sort"

	"limn/cue"
	"limn/fixtures/supply"
)

// Power is what it takes to feed the lights, and what it does to the model.
type Power struct {
	Name     string
	Cues     []CuePower
	Peak     Figure // watts of the cue that takes the most
	PeakCue  string
	Most     Figure // watts with every light at its most
	Circuits []Circuit
	Cables   []CableRun
	Battery  []Figure // hours, cue by cue as Cues; none without a battery
	Heat     Figure   // W/m² on the model, in the brightest cue
	HeatCue  string
	Cautions []string
	Notes    []string
}

// CuePower is what one cue takes.
type CuePower struct {
	Cue     int
	Name    string
	Watts   Figure
	Battery Figure // watts off the battery
	Each    []Figure
	Heat    Figure
	unknown []string
}

// Circuit is one circuit that feeds lights.
type Circuit struct {
	Name    string
	Sources []string
	Watts   Figure // at most
	Amperes Figure
	Carries Figure // amperes it carries for hours
	Load    Figure // percent of that
	Over    bool
}

// CableRun is one low-voltage run.
type CableRun struct {
	Source  string
	Amperes Figure
	Drop    Figure // percent of the voltage
	Volts   Figure // at its end
	Over    bool   // the drop is seen
}

// Bounds of common practice, no source.
const (
	SeenDrop  = 3.0   // percent of the voltage at which a strip shifts along its length
	WarmSkin  = 45.0  // °C, above which models suffer
	WarmLight = 150.0 // W/m²: about what sun behind a window brings
)

const (
	needVolts   = `[supply] volts, as volts = "230 V"`
	needBreaker = `[supply] breaker, as breaker = "16 A"`
	needFactor  = `[supply] power-factor, as power-factor = 0.9`
	needBattery = `[supply] battery, as battery = "98 Wh"`
)

var (
	lawWatts    = law{"Σ watts of the emitters at their drives, and standby", "profiles, or [[source]] watts", "profiles give figures typical of the trade: expect a fifth"}
	lawHeat     = law{"lx/300", "white LED light of about 300 lm/W", "light alone; a lamp near by heats the air as well"}
	lawPeakLoad = law{"100·amperes/continuous", "the 80 % of NEC 210.20(A); elsewhere common practice", supply.CautionCircuit}
)

// NewPower reckons the report. The error is that of NewExpose.
func NewPower(s *cue.Shoot, opt Options) (*Power, error) {
	cues, err := choose(s, opt.Cues)
	if err != nil {
		return nil, err
	}
	k, err := newReckoner(s, nil)
	if err != nil {
		return nil, err
	}
	out := &Power{Name: s.Subject.Name}
	most := make([]known, len(s.Rig.Sources)) // of each source over the cues
	for j := range most {
		most[j] = is(0)
	}
	for _, i := range cues {
		c := k.power(i, &s.Resolved[i], most)
		if !out.Peak.Known() || c.Watts.Value > out.Peak.Value {
			out.Peak, out.PeakCue = c.Watts, c.Name
		}
		if c.Heat.Known() && (!out.Heat.Known() || c.Heat.Value > out.Heat.Value) {
			out.Heat, out.HeatCue = c.Heat, c.Name
		}
		out.Cues = append(out.Cues, c)
	}
	out.full(k)
	out.circuits(k, most)
	out.cables(k, most)
	out.battery(k)
	out.cautions(k)
	return out, nil
}

// watts of source j in a cue.
func (k *reckoner) watts(r *cue.Resolved, j int) known {
	src, e := &k.shoot.Rig.Sources[j], k.shoot.Emission(j)
	lit := &r.Light[j]
	if k.heads[j] != nil && k.heads[j].Profile().HasWatts() {
		rep := k.heads[j].Explain(lit.Asked, true)
		return is(rep.Watts * float64(units(src)))
	}
	if !src.Hand && src.Profile != nil && !src.Profile.HasLight() {
		return is(src.Profile.Standby)
	}
	if e.Watts.Watts > 0 {
		return is(float64(e.Watts.Watts * math.Min(1, lit.Asked.Y)))
	}
	if lit.Asked.Y > 0 {
		return lacks(fmt.Sprintf(`the watts of %s, as watts = "40 W"`, src.Name))
	}
	return is(0)
}

// fullWatts is the most a source draws.
func (k *reckoner) fullWatts(j int) known {
	src, e := &k.shoot.Rig.Sources[j], k.shoot.Emission(j)
	if p := src.Profile; p != nil && !src.Hand {
		sum := p.Standby
		for i := range p.Emitters {
			sum += p.Emitters[i].Watts
		}
		if p.MaxWatts > 0 && (sum > p.MaxWatts || sum == p.Standby) {
			sum = p.MaxWatts
		}
		if sum > p.Standby || !p.HasLight() {
			return is(sum * float64(units(src)))
		}
	}
	return written(e.Watts.Watts, fmt.Sprintf(`the watts of %s, as watts = "40 W"`, src.Name))
}

// power reckons one cue.
func (k *reckoner) power(i int, r *cue.Resolved, most []known) CuePower {
	out := CuePower{Cue: i, Name: r.Name}
	sum, battery := 0.0, 0.0
	for j := range k.shoot.Rig.Sources {
		w := k.watts(r, j)
		name := k.shoot.Rig.Sources[j].Name
		if !w.ok() {
			out.Each = append(out.Each, lawWatts.absent("watts", name, "W", w.missing))
			out.unknown = append(out.unknown, name)
			most[j] = w
			continue
		}
		out.Each = append(out.Each, lawWatts.figure("watts", name, "W", w.value).as(Watts))
		if most[j].ok() {
			most[j].value = math.Max(most[j].value, w.value)
		}
		if k.shoot.Emission(j).Circuit == cue.CircuitBattery {
			battery += w.value
		} else {
			sum += w.value
		}
	}
	out.Watts = lawWatts.figure("watts", "from the wall", "W", sum).as(Watts)
	if len(out.unknown) > 0 {
		out.Watts.Why.Outside = "not counted: " + cue.ShortList(out.unknown)
	}
	out.Battery = lawWatts.figure("watts-battery", "off the battery", "W", battery).as(Watts)
	l := lensOf(k.shoot, &r.Camera)
	light, total := k.light(r, &l), 0.0
	for j := range light.Sources {
		if src := &light.Sources[j]; src.Lit && src.Lux.Known() {
			total += src.Lux.Value
		}
	}
	out.Heat = lawHeat.figure("heat", "heat of the light on the model", "W/m²", supply.Irradiance(total), Input{"E", "lx", "of all sources, each facing it", total}).as(unit(2, "W/m²"))
	return out
}

// full is every light at its most.
func (p *Power) full(k *reckoner) {
	var all []term
	sum := 0.0
	for j := range k.shoot.Rig.Sources {
		w := k.fullWatts(j)
		all = append(all, with("", w))
		if w.ok() && k.shoot.Emission(j).Circuit != cue.CircuitBattery {
			sum += w.value
		}
	}
	p.Most = lawWatts.figure("watts-most", "every light at its most", "W", sum).as(Watts)
	p.Most.Why.Outside = missingOf(all)
	if p.Most.Why.Outside != "" {
		p.Most.Why.Outside = "not counted: " + p.Most.Why.Outside
	}
}

// circuits adds up what each circuit carries: for safety the most that each of its
// lights takes in any cue, as if all came together.
func (p *Power) circuits(k *reckoner, most []known) {
	s := &k.shoot.Supply
	volts, breaker, factor := written(s.Volts, needVolts), written(s.Breaker, needBreaker), written(s.PowerFactor, needFactor)
	by := map[string][]int{}
	for j := range k.shoot.Rig.Sources {
		if name := k.shoot.Emission(j).Circuit; name != cue.CircuitBattery {
			by[name] = append(by[name], j)
		}
	}
	names := make([]string, 0, len(by))
	for name := range by {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		c := Circuit{Name: name}
		if name == "" {
			c.Name = "the wall"
		}
		sum := 0.0
		for _, j := range by[name] {
			c.Sources = append(c.Sources, k.shoot.Rig.Sources[j].Name)
			if most[j].ok() {
				sum += most[j].value
			}
		}
		c.Watts = lawWatts.figure("watts", "at most in any cue", "W", sum).as(Watts)
		c.Amperes = ask("amperes", "current", "saf-amps", "A", with("P", is(sum)), with("V", volts), with("pf", factor)).as(unit(2, "A"))
		c.Carries = ask("amperes-continuous", "carries for hours", "saf-circuit", "A_continuous", with("breaker_A", breaker), with("V", volts), with("pf", factor)).as(unit(3, "A"))
		if missing := missingOf([]term{with("", c.Amperes.known()), with("", c.Carries.known())}); missing != "" {
			c.Load = lawPeakLoad.absent("load", "of what it carries for hours", "%", missing)
		} else {
			c.Load = lawPeakLoad.figure("load", "of what it carries for hours", "%", 100*c.Amperes.Value/c.Carries.Value).as(unit(2, "%"))
			c.Over = c.Load.Value > 100
		}
		p.Circuits = append(p.Circuits, c)
	}
}

// cables reckons the low-voltage runs.
func (p *Power) cables(k *reckoner, most []known) {
	for j := range k.shoot.Rig.Sources {
		c := k.shoot.Emission(j).Cable
		if c.Volts == 0 {
			continue
		}
		amperes := known{math.NaN(), most[j].missing}
		if most[j].ok() {
			amperes = is(most[j].value / c.Volts)
		}
		ohm := law{"P/V", "definition", "direct current"}
		run := CableRun{Source: k.shoot.Rig.Sources[j].Name, Amperes: ohm.absent("amperes", "current", "A", amperes.missing)}
		if amperes.ok() {
			run.Amperes = ohm.figure("amperes", "current", "A", amperes.value, Input{"P", "W", "at most in any cue", most[j].value}, Input{"V", "V", "", c.Volts}).as(unit(2, "A"))
		}
		run.Drop = dropOf(&c, amperes, "drop_pct").as(unit(2, "%"))
		run.Volts = dropOf(&c, amperes, "end_V").as(unit(3, "V"))
		run.Over = run.Drop.Known() && run.Drop.Value > SeenDrop
		p.Cables = append(p.Cables, run)
	}
}

// dropOf asks what a run loses.
func dropOf(c *cue.Cable, amperes known, out string) Figure {
	title := map[string]string{"drop_pct": "lost on its cable", "end_V": "at its end"}[out]
	f := ask("drop", title, "saf-drop", out, with("V", is(c.Volts)), with("I", amperes),
		with("length", written(c.Length.Metres, "the cable's length")), with("area_mm2", written(c.Area, "the cable's area")))
	if f.Known() && c.Spread {
		lost := supply.Drop(amperes.value, c.Length.Metres, c.Area, 20, true)
		f.Value = map[string]float64{"drop_pct": 100 * lost / c.Volts, "end_V": c.Volts - lost}[out]
		f.Why.Inputs = append(f.Why.Inputs, Input{"distributed", "", "the load is spread along it: half", 1})
	}
	return f
}

// Shares of a battery (common practice, no source): what lies between, and what may be used.
const (
	batteryEfficiency = 0.9
	batteryUsable     = 0.85
)

func (p *Power) battery(k *reckoner) {
	wanted := false
	for j := range k.shoot.Rig.Sources {
		wanted = wanted || k.shoot.Emission(j).Circuit == cue.CircuitBattery
	}
	if !wanted && k.shoot.Supply.Battery == 0 {
		return
	}
	for i := range p.Cues {
		w := p.Cues[i].Battery.known()
		if w.ok() && w.value == 0 {
			w = lacks("a light on the battery, none is lit in this cue")
		}
		p.Battery = append(p.Battery, ask("hours", "of the battery", "saf-batt", "h", with("Wh", written(k.shoot.Supply.Battery, needBattery)),
			with("efficiency", is(batteryEfficiency)), with("usable", is(batteryUsable)), with("P", w)).as(unit(2, "h")))
	}
}

// cautions are shown beside the figures they belong to.
func (p *Power) cautions(k *reckoner) {
	p.Cautions = append(p.Cautions, supply.CautionCircuit)
	if len(p.Cables) > 0 {
		p.Cautions = append(p.Cautions, supply.CautionCable)
	}
	if len(p.Battery) > 0 {
		p.Cautions = append(p.Cautions, supply.CautionBattery)
	}
	p.Cautions = append(p.Cautions, supply.CautionHeat+fmt.Sprintf(" Keep its skin below %.0f °C.", WarmSkin))
	p.Cautions = append(p.Cautions, "Do not stare into bare LED arrays or lensed lamps; look at the lit object.")
	if k.shoot.AllowFlashing {
		p.Cautions = append(p.Cautions, "Flashing is allowed in this shoot: more than three flashes a second can trigger seizures. Warn everyone present and get consent before running it.")
	}
	for i := range p.Circuits {
		if c := &p.Circuits[i]; c.Over {
			p.Notes = append(p.Notes, fmt.Sprintf("%s is asked for %s, it carries %s for hours: spread the lights over more circuits", c.Name, c.Amperes.Text, c.Carries.Text))
		}
	}
	for i := range p.Cables {
		if c := &p.Cables[i]; c.Over {
			p.Notes = append(p.Notes, fmt.Sprintf("the cable to %s loses %s: beyond %g %% it shifts along its length; a thicker or shorter one, or feed it at both ends", c.Source, c.Drop.Text, SeenDrop))
		}
	}
	if p.Heat.Known() && p.Heat.Value > WarmLight {
		p.Notes = append(p.Notes, fmt.Sprintf("in %s the light brings %s to the model: as much as sun through a window", p.HeatCue, p.Heat.Text))
	}
}
