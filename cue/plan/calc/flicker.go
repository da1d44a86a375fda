package calc

import "limn/cue/camera"

var (
	duty      = num("duty", "", "share of the time it is on")
	frequency = num("f", "Hz", "frequency of the light")
	depth     = num("mod", "", "swing about the mean, as a share of it")
	rate      = num("fps", "1/s", "frame rate")
)

// switched refuses a share of time that is none.
func switched(v *values) bool {
	if d := v.n("duty"); !(d > 0 && d <= 1) {
		v.refuse("duty", "write a share above 0 and at most 1", "a share of %g is none", d)
		return false
	}
	return true
}

var flicker = []*Formula{
	{
		Name: "flk-sine", Title: "Swinging light in an exposure", Law: "M·|sin(πft)/(πft)|", Source: "mean of a sine over a time",
		In: []Field{depth, frequency, shutter}, Out: []Field{num("amplitude", "", "of what is left"), num("stops_pp", "stops", "from most to least")},
		run: func(v *values) {
			if v.positive("f", "t") {
				a, r := camera.SineRipple(v.n("mod"), v.n("f"), v.n("t"))
				v.put("amplitude", a)
				v.put("stops_pp", r.Stops)
			}
		},
	},
	{
		Name: "flk-pwm", Title: "Switched light in an exposure", Law: "on-time n·d + min(ρ,d) at most, n·d + max(0,ρ+d-1) at least; n = ⌊ft⌋, ρ = ft-n", Source: "counted; brute force agrees",
		In:  []Field{duty, frequency, shutter},
		Out: []Field{num("max_over_mean", "", "most"), num("min_over_mean", "", "least"), num("stops_pp", "stops", "from one to the other")},
		run: func(v *values) {
			if v.positive("f", "t") && switched(v) {
				r := camera.PWMRipple(v.n("duty"), v.n("f"), v.n("t"))
				v.put("max_over_mean", r.Most)
				v.put("min_over_mean", r.Least)
				v.put("stops_pp", r.Stops)
			}
		},
	},
	{
		Name: "flk-worst", Title: "The worst of switched light, whatever the exact time", Law: "min(d,1-d)/(d·f·t)", Source: "counted",
		In: []Field{duty, frequency, shutter}, Out: []Field{num("pp_over_mean", "", "peak to peak over the mean")},
		run: func(v *values) {
			if v.positive("f", "t") && switched(v) {
				v.put("pp_over_mean", camera.WorstPWM(v.n("duty"), v.n("f"), v.n("t")))
			}
		},
	},
	{
		Name: "flk-fmin", Title: "Frequency that is needed", Law: "min(d,1-d)/(d·t·pp)", Source: "counted",
		In: []Field{duty, shutter, num("pp", "", "peak to peak over the mean that is allowed")}, Out: []Field{num("f_hz", "Hz", "frequency")},
		run: func(v *values) {
			if v.positive("t", "pp") && switched(v) {
				v.put("f_hz", camera.NeededPWM(v.n("duty"), v.n("t"), v.n("pp")))
			}
		},
	},
	{
		Name: "flk-bands", Title: "Bands of a rolling shutter", Law: "readout·f", Source: "counted",
		In:  []Field{num("readout", "s", "time from the first row to the last"), frequency, num("rows", "", "rows of the picture")},
		Out: []Field{num("bands", "", "bands"), num("rows_per_band", "", "rows of each")},
		run: func(v *values) {
			if v.positive("readout", "f", "rows") {
				b, r := camera.Bands(v.n("readout"), v.n("f"), v.n("rows"))
				v.put("bands", b)
				v.put("rows_per_band", r)
			}
		},
	},
	{
		Name: "flk-crawl", Title: "How bands crawl", Law: "f/fps - round(f/fps)", Source: "counted",
		Valid: "0 = they stand still, and are easy to miss live",
		In:    []Field{frequency, rate}, Out: []Field{num("cycles_per_frame", "", "cycles a frame"), num("beat_hz", "Hz", "beat")},
		run: func(v *values) {
			if v.positive("f", "fps") {
				c, b := camera.Crawl(v.n("f"), v.n("fps"))
				v.put("cycles_per_frame", c)
				v.put("beat_hz", b)
			}
		},
	},
	{
		Name: "flk-safe", Title: "Shutter angles that are safe under mains-fed lamps", Law: "360·fps·k/(2·mains)", Source: "counted; 172.8° at 24 and 50 Hz in common use",
		In:  []Field{rate, num("mains", "Hz", "frequency of the mains")},
		Out: []Field{num("angles_deg", "°", "angles up to 360°").of(List), num("any_angle_safe", "", "frames are alike at any angle").of(Truth)},
		run: func(v *values) {
			if v.positive("fps", "mains") {
				angles, any := camera.MainsSafe(camera.MainsRate(v.n("fps")), v.n("mains"))
				v.put("angles_deg", angles)
				v.put("any_angle_safe", any)
			}
		},
	},
	{
		Name: "flk-1789", Title: "Flicker that is advised for people", Law: "low risk 0.025·f below 90 Hz, 0.08·f to 1250; no effect 0.01·f below 90, 0.0333·f to 3000", Source: "IEEE 1789-2015, by public summaries",
		Valid: "for eyes, not for cameras; free above those frequencies",
		In:    []Field{frequency}, Out: []Field{num("low_risk_pct", "%", "low risk"), num("noel_pct", "%", "no observable effect")},
		run: func(v *values) {
			if v.positive("f") {
				low, none := camera.FlickerLimits(v.n("f"))
				v.put("low_risk_pct", low)
				v.put("noel_pct", none)
			}
		},
	},
	{
		Name: "flk-svmsin", Title: "Stroboscopic visibility of swinging light", Law: "SVM = M/T(f)", Source: "CIE TN 006:2016, threshold from memory",
		Valid: "over 100 lx, motion under 4 m/s, to 2 kHz; what passes may band in a camera",
		In:    []Field{depth, frequency}, Out: []Field{num("svm", "", "1 is just visible")},
		run: func(v *values) {
			if v.positive("f") {
				v.put("svm", camera.SineSVM(v.n("mod"), v.n("f")))
			}
		},
	},
	{
		Name: "flk-svmpwm", Title: "Stroboscopic visibility of switched light", Law: "SVM = (Σ(C_k/T(kf))^3.7)^(1/3.7)", Source: "CIE TN 006:2016, threshold from memory",
		Valid: "over 100 lx, motion under 4 m/s, to 2 kHz; what passes may band in a camera",
		In:    []Field{duty, frequency}, Out: []Field{num("svm", "", "1 is just visible")},
		run: func(v *values) {
			if v.positive("f") && switched(v) {
				v.put("svm", camera.PWMSVM(v.n("duty"), v.n("f")))
			}
		},
	},
}
