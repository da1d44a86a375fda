package calc

import "limn/cue/camera"

var fullSize = []*Formula{
	{
		Name: "scl-flux", Title: "Light at full size for the same exposure", Law: "lux: (N_f/N_m)²·(t_m/t_f)·(S_m/S_f); lumens: s² times that", Source: "the incident equation, twice",
		Valid: "unchanged surfaces and layout, air without haze",
		In: []Field{
			scale, num("N_m", "", "effective f-number of the model"), num("N_f", "", "of the full size"), num("t_m", "s", "time of the model"), num("t_f", "s", "of the full size"),
			num("S_m", "ISO", "speed of the model"), num("S_f", "ISO", "of the full size"),
		},
		Out: []Field{num("lux_factor", "", "of the illuminance"), num("lumen_factor", "", "of the flux"), num("stops_lux", "stops", "of the illuminance")},
		run: func(v *values) {
			if v.positive("s", "N_m", "N_f", "t_m", "t_f", "S_m", "S_f") {
				f := camera.FullSizeLight(v.n("s"), v.n("N_m"), v.n("N_f"), v.n("t_m"), v.n("t_f"), v.n("S_m"), v.n("S_f"))
				v.put("lux_factor", f.Lux)
				v.put("lumen_factor", f.Lumens)
				v.put("stops_lux", f.Stops)
			}
		},
	},
	{
		Name: "scl-source", Title: "A source at full size", Law: "lengths ×s, flux ×s², watts by the efficacies", Source: "similar figures",
		Valid: "light quantities, not a rigging design",
		In: []Field{
			scale, num("W", "m", "width"), num("H", "m", "height"), num("d", "m", "distance"), num("flux", "lm", "flux"), num("power", "W", "power"),
			num("efficacy_model", "lm/W", "of the model's light"), num("efficacy_full", "lm/W", "of the full size's"),
		},
		Out: []Field{
			num("W", "m", "width"), num("H", "m", "height"), num("d", "m", "distance"), num("lumens", "lm", "flux"), num("watts", "W", "power"),
			num("subtense_deg", "°", "width as the subject sees it, on either"),
		},
		run: func(v *values) {
			if v.positive("s", "d", "efficacy_model", "efficacy_full") {
				e := camera.FullSizeSource(v.n("s"), v.n("W"), v.n("H"), v.n("d"), v.n("flux"), v.n("power"), v.n("efficacy_model"), v.n("efficacy_full"))
				v.put("W", e.Width)
				v.put("H", e.Height)
				v.put("d", e.Distance)
				v.put("lumens", e.Lumens)
				v.put("watts", e.Watts)
				v.put("subtense_deg", e.Subtense)
			}
		},
	},
	{
		Name: "scl-fps", Title: "Frame rate for a model's own motion", Law: "fps·√s", Source: "Visual Effects Society Handbook, appendix A",
		Valid: "what falls, splashes or rolls; lights and a turning table need none of it",
		In:    []Field{scale, num("fps", "1/s", "frame rate it is played at")}, Out: []Field{num("fps", "1/s", "frame rate to shoot at"), num("light_stops", "stops", "more light")},
		run: func(v *values) {
			if v.positive("s", "fps") {
				r, stops := camera.FullSizeRate(v.n("s"), v.n("fps"))
				v.put("fps", r)
				v.put("light_stops", stops)
			}
		},
	},
	{
		Name: "scl-speed", Title: "Speed of a model", Law: "v/s·shot/played", Source: "Visual Effects Society Handbook, appendix A",
		In:  []Field{num("v_full", "", "speed at full size"), scale, num("fps_shoot", "1/s", "frame rate of the camera"), num("fps_play", "1/s", "it is played at")},
		Out: []Field{num("v_model", "", "speed of the model, in the same unit")},
		run: func(v *values) {
			if v.positive("s", "fps_shoot", "fps_play") {
				v.put("v_model", camera.ModelSpeed(v.n("v_full"), v.n("s"), v.n("fps_shoot"), v.n("fps_play")))
			}
		},
	},
	{
		Name: "scl-units", Title: "How many lights an area needs", Law: "E·area/utilisation, over the flux of one", Source: "lumen method; utilisation 0.2 to 0.4 common practice, no source",
		In: []Field{
			num("E", "lx", "illuminance"), num("area", "m²", "area"), num("flux_unit", "lm", "flux of one light"),
			num("utilisation", "", "share of the flux that arrives"),
		},
		Out: []Field{num("lumens", "lm", "flux"), num("units", "", "lights")},
		run: func(v *values) {
			if v.positive("flux_unit", "utilisation") {
				lm, n := camera.LightsNeeded(v.n("E"), v.n("area"), v.n("flux_unit"), v.n("utilisation"))
				v.put("lumens", lm)
				v.put("units", n)
			}
		},
	},
	{
		Name: "scl-orbit", Title: "Where camera and lights go when the subject stays", Law: "the table's turn the other way, about its axis", Source: "geometry",
		Valid: "seen from above, counter-clockwise positive; camera, every light, card and background alike",
		In:    []Field{num("x", "m", "to the right of the axis"), num("y", "m", "away from the camera"), num("delta_deg", "°", "the table's turn")},
		Out:   []Field{num("x", "m", "to the right"), num("y", "m", "away")},
		run: func(v *values) {
			x, y := camera.Orbit(v.n("x"), v.n("y"), v.n("delta_deg"))
			v.put("x", x)
			v.put("y", y)
		},
	},
}

var turntable = []*Formula{
	{
		Name: "trn-frames", Title: "A turn in frames", Law: "360/frames", Source: computed,
		In:  []Field{num("frames", "", "frames of a turn"), num("fps", "1/s", "frame rate it is played at")},
		Out: []Field{num("deg_per_frame", "°", "turn of each"), num("seconds", "s", "playing time"), num("rpm_screen", "1/min", "speed it seems to have")},
		run: func(v *values) {
			if v.positive("frames", "fps") {
				d, s, rpm := camera.TableFrames(v.n("frames"), v.n("fps"))
				v.put("deg_per_frame", d)
				v.put("seconds", s)
				v.put("rpm_screen", rpm)
			}
		},
	},
	{
		Name: "trn-steps", Title: "Steps of a motor table", Law: "steps·microsteps·gear", Source: computed,
		Valid: "where a frame's steps are not whole, round the place, never the increment",
		In:    []Field{num("motor_steps", "", "steps of a turn of the motor"), num("microsteps", "", "of each"), num("gear", "", "turns of the motor a turn of the table"), num("frames", "", "frames of a turn")},
		Out:   []Field{num("per_rev", "", "steps of a turn"), num("per_frame", "", "of a frame"), num("arcsec_per_step", `"`, "turn of a step")},
		run: func(v *values) {
			if v.positive("motor_steps", "microsteps", "gear", "frames") {
				r, f, a := camera.TableSteps(v.n("motor_steps"), v.n("microsteps"), v.n("gear"), v.n("frames"))
				v.put("per_rev", r)
				v.put("per_frame", f)
				v.put("arcsec_per_step", a)
			}
		},
	},
	{
		Name: "trn-limit", Title: "Fastest turn for a blur", Law: "ω = k·pixel/(r·m·t)", Source: "geometry",
		Valid: "of the subject itself; what it mirrors moves further: see trn-refblur",
		In:    []Field{num("radius", "m", "of the point from the axis"), magnified, shutter, num("pixel", "m", "pitch of the pixels"), num("pixels", "", "blur allowed").or(1.0)},
		Out:   []Field{num("rad_s", "rad/s", "speed"), num("deg_s", "°/s", "speed"), num("rpm", "1/min", "speed"), num("s_per_rev", "s", "time of a turn")},
		run: func(v *values) {
			if v.positive("radius", "m", "t", "pixel", "pixels") {
				w := camera.FastestTurn(v.n("radius"), v.n("m"), v.n("t"), v.n("pixel"), v.n("pixels"))
				v.put("rad_s", w.RadiansPerSecond)
				v.put("deg_s", w.DegreesPerSecond)
				v.put("rpm", w.RPM)
				v.put("s_per_rev", w.SecondsPerTurn)
			}
		},
	},
	{
		Name: "trn-refblur", Title: "Blur of what is mirrored while the table turns", Law: "2ωt·d·u/(u+d)·m/pixel", Source: "geometry; a mirror turns its image by twice its own turn",
		Valid: "flat panel on the axis",
		In:    []Field{num("rpm", "1/min", "speed"), num("d", "m", "panel to source"), num("u", "m", "camera to panel"), magnified, shutter, num("pixel", "m", "pitch of the pixels")},
		Out:   []Field{num("pixels", "", "blur")},
		run: func(v *values) {
			if v.positive("d", "u", "m", "t", "pixel") {
				v.put("pixels", camera.MirrorBlur(v.n("rpm"), v.n("d"), v.n("u"), v.n("m"), v.n("t"), v.n("pixel")))
			}
		},
	},
	{
		Name: "trn-settle", Title: "Time to settle", Law: "ln(A0/tol)/(ζ·2π·fn)", Source: "damped oscillator, ζ below 0.3",
		In:  []Field{num("A0", "mm", "swing at first"), num("tol", "mm", "swing allowed"), num("zeta", "", "damping ratio"), num("fn", "Hz", "natural frequency")},
		Out: []Field{num("s", "s", "time")},
		run: func(v *values) {
			if v.positive("A0", "tol", "zeta", "fn") {
				v.put("s", camera.SettleTime(v.n("A0"), v.n("tol"), v.n("zeta"), v.n("fn")))
			}
		},
		out: func(v *values) string {
			if v.n("zeta") >= 0.3 {
				return "so well damped, it settles otherwise"
			}
			return ""
		},
	},
	{
		Name: "trn-seq", Title: "Time of a series of light passes", Law: "angles·(move + settle + passes·pass)", Source: computed,
		In: []Field{
			num("angles", "", "angles"), num("t_move", "s", "move between them"), num("t_settle", "s", "settling"), num("passes", "", "pictures at each"),
			num("t_pass", "s", "time of each"),
		},
		Out: []Field{num("captures", "", "pictures"), num("s", "s", "time")},
		run: func(v *values) {
			n, s := camera.Captures(v.n("angles"), v.n("t_move"), v.n("t_settle"), v.n("passes"), v.n("t_pass"))
			v.put("captures", n)
			v.put("s", s)
		},
	},
}
