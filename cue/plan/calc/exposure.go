package calc

import "limn/cue/camera"

var exposure = []*Formula{
	{
		Name: "exp-ev", Title: "Exposure value of an aperture and a time", Law: "EV = log2(N²/t)",
		Source: "APEX", Valid: "a setting of the camera, no amount of light until a speed is stated",
		In: []Field{fNumber, shutter}, Out: []Field{num("ev", "EV", "exposure value")},
		run: func(v *values) {
			if v.positive("N", "t") {
				v.put("ev", camera.EV(v.n("N"), v.n("t")))
			}
		},
	},
	{
		Name: "exp-ev100", Title: "Exposure value at ISO 100", Law: "EV100 = log2(N²/t) - log2(S/100)", Source: "APEX",
		In: []Field{fNumber, shutter, iso}, Out: []Field{num("ev100", "EV", "exposure value at ISO 100")},
		run: func(v *values) {
			if v.positive("N", "t", "S") {
				v.put("ev100", camera.EV100(v.n("N"), v.n("t"), v.n("S")))
			}
		},
	},
	{
		Name: "exp-lux", Title: "Light for an exposure, incident", Law: "E = C·N²/(t·S)", Source: "ISO 2720:1974, C from 240 to 400",
		Valid: "steady light; N effective where focus is close; not flash",
		In:    []Field{fNumber, shutter, iso, meterC}, Out: []Field{luxOut, num("fc", "fc", "the same in footcandles")},
		run: func(v *values) {
			if v.positive("N", "t", "S", "C") {
				lux := camera.Lux(v.n("N"), v.n("t"), v.n("S"), v.n("C"))
				v.put("lux", lux)
				v.put("fc", lux/camera.LuxPerFootcandle)
			}
		},
	},
	{
		Name: "exp-fnum", Title: "Aperture that a light allows", Law: "N = √(E·t·S/C)", Source: "ISO 2720:1974, C from 240 to 400",
		Valid: "steady light; the answer is the effective f-number",
		In:    []Field{num("E", "lx", "illuminance"), shutter, iso, meterC}, Out: []Field{fNumber},
		run: func(v *values) {
			if v.positive("E", "t", "S", "C") {
				v.put("N", camera.FNumber(v.n("E"), v.n("t"), v.n("S"), v.n("C")))
			}
		},
	},
	{
		Name: "exp-lum", Title: "Mid-tone luminance for an exposure, reflected", Law: "L = K·N²/(t·S)", Source: "ISO 2720:1974, K from 10.6 to 13.4",
		In: []Field{fNumber, shutter, iso, meterK}, Out: []Field{num("cd_m2", "cd/m²", "luminance")},
		run: func(v *values) {
			if v.positive("N", "t", "S", "K") {
				v.put("cd_m2", camera.Luminance(v.n("N"), v.n("t"), v.n("S"), v.n("K")))
			}
		},
	},
	{
		Name: "exp-ev2lux", Title: "Light of an exposure value at ISO 100", Law: "E = (C/100)·2^EV100", Source: "ISO 2720:1974",
		In: []Field{num("EV", "EV", "exposure value at ISO 100"), meterC}, Out: []Field{luxOut},
		run: func(v *values) {
			if v.positive("C") {
				v.put("lux", camera.LuxOfEV100(v.n("EV"), v.n("C")))
			}
		},
	},
	{
		Name: "exp-stops", Title: "A ratio of light in stops", Law: "stops = log2(ratio)", Source: computed,
		In: []Field{num("ratio", "", "one light over the other")}, Out: []Field{stops},
		run: func(v *values) {
			if v.positive("ratio") {
				v.put("stops", camera.Stops(v.n("ratio")))
			}
		},
	},
	{
		Name: "exp-angle", Title: "Time of a shutter angle", Law: "t = angle/(360·fps)", Source: computed,
		In:  []Field{num("angle_deg", "°", "shutter angle"), num("fps", "1/s", "frame rate")},
		Out: []Field{num("t_s", "s", "time of exposure")},
		run: func(v *values) {
			if v.positive("angle_deg", "fps") {
				v.put("t_s", camera.ShutterTime(v.n("angle_deg"), v.n("fps")))
			}
		},
	},
	{
		Name: "exp-keyfill", Title: "Lighting ratio, both conventions", Law: "(key + fill) : fill, and key : fill", Source: "common practice, no source",
		Valid: "key and fill measured with the other off",
		In:    []Field{num("E_key", "lx", "key alone"), num("E_fill", "lx", "fill alone")},
		Out: []Field{
			num("keyplusfill_to_fill", "", "key and fill together against fill"), num("stops_kf", "stops", "that in stops"),
			num("key_to_fill", "", "key against fill"), num("stops_k", "stops", "that in stops"),
		},
		run: func(v *values) {
			if v.positive("E_key", "E_fill") {
				r := camera.LightingRatio(v.n("E_key"), v.n("E_fill"))
				v.put("keyplusfill_to_fill", r.TogetherToFill)
				v.put("stops_kf", r.TogetherStops)
				v.put("key_to_fill", r.KeyToFill)
				v.put("stops_k", r.KeyStops)
			}
		},
	},
	{
		Name: "exp-tstop", Title: "T-stop of a lens", Law: "T = N/√τ, loss = -log2 τ", Source: computed,
		Valid: "exposure goes by T; depth of field and diffraction by N",
		In:    []Field{fNumber, num("tau", "", "share of the light the lens lets through")},
		Out:   []Field{num("T", "", "T-stop"), num("loss_stops", "stops", "loss")},
		run: func(v *values) {
			if v.positive("N", "tau") {
				t, loss := camera.TStop(v.n("N"), v.n("tau"))
				v.put("T", t)
				v.put("loss_stops", loss)
			}
		},
	},
	{
		Name: "exp-bellows", Title: "Effective aperture at close focus", Law: "N_eff = N·(1 + m/p)", Source: "any text on close-up photography",
		Valid: "lenses that focus by extension; some cameras show the effective number already",
		In:    []Field{fNumber, magnified, pupil}, Out: []Field{effective, num("loss_stops", "stops", "loss")},
		run: func(v *values) {
			if v.positive("N", "p") {
				n, loss := camera.Effective(v.n("N"), v.n("m"), v.n("p"))
				v.put("N_eff", n)
				v.put("loss_stops", loss)
			}
		},
	},
	{
		Name: "exp-nd", Title: "Neutral density", Law: "transmittance = 10^-D", Source: computed,
		Valid: `a name such as "ND8" means the factor, "0.9" the density`,
		In:    []Field{num("D", "", "optical density")},
		Out:   []Field{num("transmittance", "", "share let through"), stops, num("factor", "", "filter factor")},
		run: func(v *values) {
			d := camera.ND(v.n("D"))
			v.put("transmittance", d.Transmittance)
			v.put("stops", d.Stops)
			v.put("factor", d.Factor)
		},
	},
	{
		Name: "exp-grey", Title: "The grey that meters agree on", Law: "R = π·K/C", Source: "ISO 2720:1974",
		In: []Field{meterK, meterC}, Out: []Field{num("reflectance", "", "share reflected")},
		run: func(v *values) {
			if v.positive("K", "C") {
				v.put("reflectance", camera.ImpliedGrey(v.n("K"), v.n("C")))
			}
		},
	},
	{
		Name: "exp-headroom", Title: "From mid-tone to clipping", Law: "H = 0.65·K/S, stops = log2((78/S)/H)",
		Source: "ISO 12232, from memory", Valid: "cameras differ: a measured figure is better",
		In: []Field{meterK, iso}, Out: []Field{num("H_lx_s", "lx·s", "focal-plane exposure of the mid-tone"), num("stops_to_saturation", "stops", "from there to clipping")},
		run: func(v *values) {
			if v.positive("K", "S") {
				h, over := camera.Headroom(v.n("K"), v.n("S"))
				v.put("H_lx_s", h)
				v.put("stops_to_saturation", over)
			}
		},
	},
}
