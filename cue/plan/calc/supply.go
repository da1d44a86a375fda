package calc

import "limn/fixtures/supply"

var (
	watts  = num("P", "W", "power")
	volts  = num("V", "V", "voltage")
	factor = num("pf", "", "power factor")
)

var feeding = []*Formula{
	{
		Name: "saf-amps", Title: "Current of a load", Law: "P/(V·pf)", Source: computed, Valid: supply.CautionCircuit,
		In: []Field{watts, volts, factor}, Out: []Field{num("A", "A", "current"), num("VA", "VA", "apparent power")},
		run: func(v *values) {
			if v.positive("V", "pf") {
				a, va := supply.Current(v.n("P"), v.n("V"), v.n("pf"))
				v.put("A", a)
				v.put("VA", va)
			}
		},
	},
	{
		Name: "saf-3ph", Title: "Current of a balanced three-phase load", Law: "P/(√3·V·pf)", Source: computed, Valid: supply.CautionCircuit,
		In: []Field{watts, num("V_ll", "V", "voltage between phases"), factor}, Out: []Field{num("A_per_phase", "A", "current of each phase")},
		run: func(v *values) {
			if v.positive("V_ll", "pf") {
				v.put("A_per_phase", supply.ThreePhase(v.n("P"), v.n("V_ll"), v.n("pf")))
			}
		},
	},
	{
		Name: "saf-circuit", Title: "What a circuit carries for hours", Law: "0.8·breaker", Source: "NEC 210.20(A), its reciprocal; elsewhere common practice", Valid: supply.CautionCircuit,
		In: []Field{num("breaker_A", "A", "breaker"), volts, factor.or(1.0)}, Out: []Field{num("A_continuous", "A", "current"), num("W_continuous", "W", "power")},
		run: func(v *values) {
			a, w := supply.Circuit(v.n("breaker_A"), v.n("V"), v.n("pf"))
			v.put("A_continuous", a)
			v.put("W_continuous", w)
		},
	},
	{
		Name: "saf-awg", Title: "A wire of an American gauge", Law: "d = 0.127·92^((36-n)/39) mm", Source: "ASTM B258; copper of IEC 60028",
		In: []Field{num("n", "", "gauge number")}, Out: []Field{num("d_mm", "mm", "diameter"), num("area_mm2", "mm²", "area"), num("ohm_per_km", "Ω/km", "resistance at 20 °C")},
		run: func(v *values) {
			d, a, o := supply.Gauge(v.n("n"))
			v.put("d_mm", d)
			v.put("area_mm2", a)
			v.put("ohm_per_km", o)
		},
	},
	{
		Name: "saf-drop", Title: "Voltage lost on a low-voltage run", Law: "2·l·I·ρ/area; half of it for a load spread evenly", Source: "copper of IEC 60028", Valid: supply.CautionCable,
		In: []Field{
			volts, num("I", "A", "current"), num("length", "m", "one way"), num("area_mm2", "mm²", "of the wire"), num("temp_C", "°C", "of the wire").or(20.0),
			num("distributed", "", "the load is spread along the run").of(Truth).or(false),
		},
		Out: []Field{num("drop_V", "V", "lost"), num("drop_pct", "%", "of the voltage"), num("end_V", "V", "at the end")},
		run: func(v *values) {
			if v.positive("V", "area_mm2") {
				d := supply.Drop(v.n("I"), v.n("length"), v.n("area_mm2"), v.n("temp_C"), v.is("distributed"))
				v.put("drop_V", d)
				v.put("drop_pct", 100*d/v.n("V"))
				v.put("end_V", v.n("V")-d)
			}
		},
	},
	{
		Name: "saf-batt", Title: "Hours of a battery", Law: "Wh·efficiency·usable/P", Source: computed, Valid: supply.CautionBattery,
		In:  []Field{num("Wh", "Wh", "on its label"), num("efficiency", "", "of what lies between"), num("usable", "", "share that is usable"), watts},
		Out: []Field{num("h", "h", "time")},
		run: func(v *values) {
			if v.positive("P") {
				v.put("h", supply.Runtime(v.n("Wh"), v.n("efficiency"), v.n("usable"), v.n("P")))
			}
		},
	},
	{
		Name: "saf-sling", Title: "What each sling leg carries", Law: "load/(legs·sin angle)", Source: "statics", Valid: supply.CautionHang,
		In:  []Field{num("load_kg", "kg", "load"), num("legs", "", "legs"), num("angle_from_horizontal_deg", "°", "from the horizontal")},
		Out: []Field{num("kg_per_leg", "kg", "on each")},
		run: func(v *values) {
			if v.positive("legs", "angle_from_horizontal_deg") {
				v.put("kg_per_leg", supply.SlingLeg(v.n("load_kg"), v.n("legs"), v.n("angle_from_horizontal_deg")))
			}
		},
		out: func(v *values) string {
			if v.n("angle_from_horizontal_deg") < supply.LowSling {
				return "below 45° the legs carry more than they seem to: take longer slings"
			}
			return ""
		},
	},
	{
		Name: "saf-wll", Title: "Working load", Law: "breaking strength/factor", Source: "ASME B30.26 as reported: 4 to 5; 10 where people are beneath, common practice", Valid: supply.CautionHang,
		In:  []Field{num("mbs", "", "breaking strength"), num("factor", "", "design factor")},
		Out: []Field{num("wll", "", "working load, in the same unit")},
		run: func(v *values) {
			if v.positive("factor") {
				v.put("wll", supply.WorkingLoad(v.n("mbs"), v.n("factor")))
			}
		},
	},
	{
		Name: "saf-wind", Title: "Wind on a cloth or panel", Law: "½·1.225·v²·cd·area", Source: "ISO 2533 for the density of air", Valid: supply.CautionHang,
		In:  []Field{num("area", "m²", "area"), num("v", "m/s", "wind"), num("cd", "", "drag coefficient").or(1.2)},
		Out: []Field{num("N", "N", "force")},
		run: func(v *values) { v.put("N", supply.Wind(v.n("area"), v.n("v"), v.n("cd"))) },
	},
	{
		Name: "saf-ballast", Title: "Ballast of a boom", Law: "factor·load·arm/ballast arm", Source: "statics; the factor of 1.5 common practice, no source", Valid: supply.CautionHang,
		In:  []Field{num("load_kg", "kg", "load"), num("arm", "m", "from the stand to it"), num("ballast_arm", "m", "from the stand to the ballast"), num("factor", "", "of safety").or(1.5)},
		Out: []Field{num("kg", "kg", "ballast")},
		run: func(v *values) {
			if v.positive("ballast_arm") {
				v.put("kg", supply.Ballast(v.n("load_kg"), v.n("arm"), v.n("ballast_arm"), v.n("factor")))
			}
		},
	},
}

var balance = []*Formula{
	{
		Name: "wb-shift", Title: "Shift from one white to another", Law: "10⁶/T_to - 10⁶/T_from", Source: "definition of the mired", Valid: "near the Planckian locus; green and pink are apart",
		In:  []Field{num("T_from", "K", "from"), num("T_to", "K", "to")},
		Out: []Field{num("mired_from", "mired", "from"), num("mired_to", "mired", "to"), num("shift", "mired", "+ is warmer")},
		run: func(v *values) {
			if v.positive("T_from", "T_to") {
				from, to := 1e6/v.n("T_from"), 1e6/v.n("T_to")
				v.put("mired_from", from)
				v.put("mired_to", to)
				v.put("shift", to-from)
			}
		},
	},
	{
		Name: "wb-gel", Title: "A white through a correction filter", Law: "10⁶/(10⁶/T + shift)", Source: "filters add in mired", Valid: "near the Planckian locus",
		In:  []Field{num("T", "K", "white"), num("shift", "mired", "of the filter, + is warmer")},
		Out: []Field{num("K", "K", "through it")},
		run: func(v *values) {
			if !v.positive("T") {
				return
			}
			m := 1e6/v.n("T") + v.n("shift")
			if m <= 0 {
				v.refuse("shift", "take a weaker filter", "a shift of %g mired leaves no white of %g K", v.n("shift"), v.n("T"))
				return
			}
			v.put("K", 1e6/m)
		},
	},
}
