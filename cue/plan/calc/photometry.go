package calc

import (
	"math"

	"limn/fixtures/photometry"
)

var (
	intensity = num("I", "cd", "intensity")
	luminance = num("L", "cd/m²", "luminance")
	distance  = num("d", "m", "distance")
	beam      = num("beam_deg", "°", "full beam angle")
	wide      = num("W", "m", "width")
	high      = num("H", "m", "height")
)

const lambertian = "a uniform source that looks equally bright from all sides"

// asPoint puts what the point formula would say, and how far it is off.
func asPoint(v *values, lux, point float64) {
	v.put("lux", lux)
	v.put("lux_point", point)
	v.put("error_pct", 100*(point/lux-1))
}

var (
	pointOut = num("lux_point", "lx", "by the point formula")
	errorOut = num("error_pct", "%", "how far that is off")
)

var light = []*Formula{
	{
		Name: "pho-point", Title: "Light from a small source", Law: "I·cosθ/d²", Source: "inverse square and cosine law", Valid: "from five times its size on",
		In: []Field{intensity, distance, num("theta_deg", "°", "tilt of the surface").or(0.0)}, Out: []Field{luxOut},
		run: func(v *values) {
			if v.positive("d") {
				v.put("lux", photometry.Point(v.n("I"), v.n("d"), v.n("theta_deg")))
			}
		},
		out: func(v *values) string {
			if math.Abs(v.n("theta_deg")) > 90 {
				return "the surface looks away from the source"
			}
			return ""
		},
	},
	{
		Name: "pho-disc", Title: "Light below a round source", Law: "π·L·R²/(R²+d²)", Source: "Irodov, Problems in General Physics, 5.11", Valid: lambertian,
		In: []Field{luminance, num("R", "m", "radius"), distance}, Out: []Field{luxOut, pointOut, errorOut},
		run: func(v *values) {
			if v.positive("L", "R", "d") {
				l, r, d := v.n("L"), v.n("R"), v.n("d")
				asPoint(v, photometry.Disc(l, r, d), photometry.Point(l*math.Pi*r*r, d, 0))
			}
		},
	},
	{
		Name: "pho-rect", Title: "Light below a rectangular source", Law: "4 corners of (L/2)·[a/√(a²+d²)·atan(b/√(a²+d²)) + b/√(b²+d²)·atan(a/√(b²+d²))]", Source: "view factors of parallel rectangles, any catalogue", Valid: lambertian,
		In: []Field{luminance, wide, high, distance}, Out: []Field{luxOut, pointOut, errorOut},
		run: func(v *values) {
			if v.positive("L", "W", "H", "d") {
				l, w, h, d := v.n("L"), v.n("W"), v.n("H"), v.n("d")
				asPoint(v, photometry.Rectangle(l, w, h, d), photometry.Point(l*w*h, d, 0))
			}
		},
	},
	{
		Name: "pho-rectoff", Title: "Light beside the middle of a rectangular source", Law: "signed sum of four corners", Source: "view factors of parallel rectangles, any catalogue", Valid: lambertian,
		In:  []Field{luminance, wide, high, distance, num("x", "m", "from the middle, along the width"), num("y", "m", "along the height").or(0.0)},
		Out: []Field{luxOut},
		run: func(v *values) {
			if v.positive("W", "H", "d") {
				v.put("lux", photometry.RectangleAt(v.n("L"), v.n("W"), v.n("H"), v.n("d"), v.n("x"), v.n("y")))
			}
		},
	},
	{
		Name: "pho-strip", Title: "Light from the middle of a strip", Law: "(I'/d)·(β + sin β·cos β), β = atan(length/2d)", Source: "integral of a line of cosine emitters", Valid: "a width far below the distance",
		In:  []Field{num("I_per_m", "cd/m", "intensity a metre, at right angles"), num("length", "m", "length"), distance},
		Out: []Field{luxOut, pointOut},
		run: func(v *values) {
			if v.positive("length", "d") {
				v.put("lux", photometry.Strip(v.n("I_per_m"), v.n("length"), v.n("d")))
				v.put("lux_point", photometry.Point(v.n("I_per_m")*v.n("length"), v.n("d"), 0))
			}
		},
	},
	{
		Name: "pho-difflum", Title: "Luminance of a diffuser", Law: "τ·Φ/(π·area)", Source: "definition of luminance", Valid: "it spreads as a cosine",
		In: []Field{num("flux", "lm", "flux behind it"), num("tau", "", "share let through"), num("area", "m²", "area")}, Out: []Field{num("cd_m2", "cd/m²", "luminance")},
		run: func(v *values) {
			if v.positive("area") {
				v.put("cd_m2", photometry.Diffuser(v.n("flux"), v.n("tau"), v.n("area")))
			}
		},
	},
	{
		Name: "pho-bounce", Title: "Luminance of a matt card", Law: "ρ·E/π", Source: "definition of reflectance", Valid: "black card is matt only near its normal",
		In: []Field{num("E", "lx", "illuminance"), num("rho", "", "reflectance")}, Out: []Field{num("cd_m2", "cd/m²", "luminance")},
		run: func(v *values) { v.put("cd_m2", photometry.Bounce(v.n("E"), v.n("rho"))) },
	},
	{
		Name: "pho-chain", Title: "An edge stroke off white card", Law: "I/d1², ρ·E/π, then the rectangle", Source: "pho-point, pho-bounce, pho-rect", Valid: "card and subject face to face",
		In:  []Field{intensity, num("d1", "m", "source to card"), num("rho", "", "reflectance of the card"), wide, high, num("d2", "m", "card to subject")},
		Out: []Field{num("card_lux", "lx", "on the card"), num("card_cd_m2", "cd/m²", "luminance of the card"), num("subject_lux", "lx", "on the subject")},
		run: func(v *values) {
			if v.positive("d1", "W", "H", "d2") {
				s := photometry.EdgeStroke(v.n("I"), v.n("d1"), v.n("rho"), v.n("W"), v.n("H"), v.n("d2"))
				v.put("card_lux", s.CardLux)
				v.put("card_cd_m2", s.CardLuminance)
				v.put("subject_lux", s.SubjectLux)
			}
		},
	},
	{
		Name: "pho-negfill", Title: "Negative fill", Law: "E - π·F·(L_env - L_card)", Source: "definition of the form factor", Valid: "even surroundings",
		In:  []Field{num("E_fill", "lx", "before"), num("F", "", "form factor of the card, 0 to 1"), num("L_env", "cd/m²", "luminance of what it hides"), num("L_card", "cd/m²", "of the card")},
		Out: []Field{luxOut},
		run: func(v *values) {
			v.put("lux", photometry.NegativeFill(v.n("E_fill"), v.n("F"), v.n("L_env"), v.n("L_card")))
		},
		out: func(v *values) string {
			if f := v.n("F"); f < 0 || f > 1 {
				return "a form factor lies between 0 and 1"
			}
			return ""
		},
	},
	{
		Name: "pho-cone", Title: "A uniform beam in lumens", Law: "Ω = 2π(1-cos(β/2)), Φ = I·Ω", Source: "solid angle of a cone", Valid: "an even beam with a sharp edge; else see pho-cospow",
		In: []Field{intensity, beam}, Out: []Field{num("sr", "sr", "solid angle"), num("lm", "lm", "flux")},
		run: func(v *values) {
			sr, lm := photometry.Cone(v.n("I"), v.n("beam_deg"))
			v.put("sr", sr)
			v.put("lm", lm)
		},
	},
	{
		Name: "pho-cospow", Title: "A soft beam in lumens", Law: "m = ln 0.5/ln cos(β/2), Φ = 2πI/(m+1)", Source: "beam angle at half of the peak, IES usage",
		In: []Field{intensity, beam}, Out: []Field{num("exponent", "", "of the cosine"), num("lm", "lm", "flux")},
		run: func(v *values) {
			if b := v.n("beam_deg"); b <= 0 || b >= 180 {
				v.refuse("beam_deg", "write one between 0 and 180", "a beam of %g° is none", b)
				return
			}
			m, lm := photometry.SmoothBeam(v.n("I"), v.n("beam_deg"))
			v.put("exponent", m)
			v.put("lm", lm)
		},
	},
	{
		Name: "pho-omega", Title: "Solid angle of a rectangle", Law: "4·atan(WH/(2d√(4d²+W²+H²)))", Source: "solid geometry", Valid: "seen from straight below its middle",
		In: []Field{wide, high, distance}, Out: []Field{num("sr", "sr", "solid angle")},
		run: func(v *values) {
			if v.positive("d") {
				v.put("sr", photometry.Omega(v.n("W"), v.n("H"), v.n("d")))
			}
		},
	},
	{
		Name: "pho-penumbra", Title: "Soft edge of a shadow", Law: "D·g/(d-g)", Source: "similar triangles", Valid: "flat source parallel to the surface, the edge under its middle",
		In:  []Field{num("source", "m", "size of the source"), num("d_source", "m", "its height above the surface"), num("gap", "m", "height of the edge")},
		Out: []Field{num("width", "m", "of the soft edge")},
		run: func(v *values) {
			if v.n("gap") >= v.n("d_source") {
				v.refuse("gap", "take an edge nearer to the surface than the source", "the edge at %g m is no nearer than the source at %g m", v.n("gap"), v.n("d_source"))
				return
			}
			v.put("width", photometry.Penumbra(v.n("source"), v.n("d_source"), v.n("gap")))
		},
	},
}
