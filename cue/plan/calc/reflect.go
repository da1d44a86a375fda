package calc

import (
	"limn/cue/camera"
	"limn/fixtures/reflect"
	"limn/fixtures/space"
)

var (
	incidence = num("theta_deg", "°", "angle of incidence")
	index     = num("n", "", "refractive index").or(reflect.ClearCoat)
	toCamera  = num("u", "m", "panel to camera")
	toSource  = num("d", "m", "panel to source")
	radius    = num("R", "m", "radius of the panel; negative where it is hollow")
)

// point reads three coordinates.
func (v *values) point(key string) (space.Vec, bool) {
	l := v.list(key)
	if len(l) != 3 {
		v.refuse(key, "write x,y,z", "%s has %d coordinates", key, len(l))
		return space.Vec{}, false
	}
	return space.Vec{X: l[0], Y: l[1], Z: l[2]}, true
}

// bounded refuses angles of incidence that are none.
func (v *values) bounded(key string) bool {
	if a := v.n(key); a < 0 || a > 90 {
		v.refuse(key, "write one from 0 to 90", "an angle of incidence of %g° is none", a)
		return false
	}
	return true
}

const coat = "a smooth clear coat; colour below it adds its own light"

var reflections = []*Formula{
	{
		Name: "ref-point", Title: "What a camera sees mirrored", Law: "r = 2(n·v)n - v; P + d·r", Source: "law of reflection",
		In: []Field{
			num("camera", "m", "place of the camera").of(List), num("P", "m", "point of the surface").of(List), num("n", "", "normal there").of(List),
			num("d", "m", "distance to what is mirrored"),
		},
		Out: []Field{num("x", "m", "place"), num("y", "m", "place"), num("z", "m", "place"), num("incidence_deg", "°", "angle of incidence")},
		run: func(v *values) {
			c, ok1 := v.point("camera")
			p, ok2 := v.point("P")
			n, ok3 := v.point("n")
			if !ok1 || !ok2 || !ok3 {
				return
			}
			if n.Len() == 0 || c == p {
				v.refuse("n", "give the surface a normal, and the camera a place of its own", "there is no direction")
				return
			}
			at, angle := reflect.Seen(c, p, n, v.n("d"))
			v.put("x", at.X)
			v.put("y", at.Y)
			v.put("z", at.Z)
			v.put("incidence_deg", angle)
		},
		out: func(v *values) string {
			c, ok1 := v.point("camera")
			p, ok2 := v.point("P")
			n, ok3 := v.point("n")
			if ok1 && ok2 && ok3 && c.Sub(p).Dot(n) < 0 {
				return "the surface looks away from the camera"
			}
			return ""
		},
	},
	{
		Name: "ref-normal", Title: "Normal that shows a source to the camera", Law: "n = unit(unit(C-P) + unit(S-P))", Source: "law of reflection",
		In:  []Field{num("camera", "m", "place of the camera").of(List), num("P", "m", "point of the surface").of(List), num("source", "m", "place of the source").of(List)},
		Out: []Field{num("nx", "", "normal"), num("ny", "", "normal"), num("nz", "", "normal")},
		run: func(v *values) {
			c, ok1 := v.point("camera")
			p, ok2 := v.point("P")
			s, ok3 := v.point("source")
			if ok1 && ok2 && ok3 {
				n := reflect.Normal(c, p, s)
				v.put("nx", n.X)
				v.put("ny", n.Y)
				v.put("nz", n.Z)
			}
		},
	},
	{
		Name: "ref-plane", Title: "Source that fills a flat panel", Law: "w·cosθ·(1+d/u) in the plane of incidence, w·(1+d/u) across", Source: "mirrored camera, similar triangles",
		In:  []Field{num("w", "m", "width of the panel"), incidence, toCamera, toSource},
		Out: []Field{num("W_in_plane", "m", "width of the source, square to the ray"), num("W_across_per_w", "", "across, over the panel's width")},
		run: func(v *values) {
			if v.positive("u") && v.bounded("theta_deg") {
				within, _ := reflect.Flat(v.n("w"), v.n("theta_deg"), v.n("u"), v.n("d"))
				_, across := reflect.Flat(1, v.n("theta_deg"), v.n("u"), v.n("d"))
				v.put("W_in_plane", within)
				v.put("W_across_per_w", across)
			}
		},
	},
	{
		Name: "ref-overhead", Title: "Level source over a level panel", Law: "w·(1 + h_source/h_camera)", Source: "mirrored camera, similar triangles", Valid: "heights above the panel",
		In:  []Field{num("facet", "m", "width of the panel"), num("h_source", "m", "height of the source"), num("h_camera", "m", "height of the camera")},
		Out: []Field{num("source", "m", "width of the source")},
		run: func(v *values) {
			if v.positive("h_camera") {
				v.put("source", reflect.Overhead(v.n("facet"), v.n("h_source"), v.n("h_camera")))
			}
		},
	},
	{
		Name: "ref-curved", Title: "Source for a highlight on a curved panel", Law: "w·[cosθ·(1+d/u) + 2d/R] within, w·[(1+d/u) + 2d·cosθ/R] across", Source: "an arc turns its normal by ds/R and the mirrored ray by twice that", Valid: "a highlight far below the radius",
		In:  []Field{num("w", "m", "width of the highlight"), radius, incidence, toCamera, toSource},
		Out: []Field{num("W_tangential", "m", "width within the plane of incidence"), num("W_sagittal_sphere", "m", "across it, where it is bent that way too")},
		run: func(v *values) {
			if v.n("R") == 0 {
				v.refuse("R", "write a radius; of a flat panel see ref-plane", "the radius is 0")
				return
			}
			if v.positive("u") && v.bounded("theta_deg") {
				within, across := reflect.Curved(v.n("w"), v.n("R"), v.n("theta_deg"), v.n("u"), v.n("d"))
				v.put("W_tangential", within)
				v.put("W_sagittal_sphere", across)
			}
		},
	},
	{
		Name: "ref-line", Title: "Line that a card draws along an edge", Law: "W/[cosθ·(1+d/u) + 2d/R]", Source: "ref-curved, the other way",
		In:  []Field{wide, num("R", "m", "radius of the edge"), incidence, toCamera, toSource},
		Out: []Field{num("w", "m", "width of the line")},
		run: func(v *values) {
			if v.positive("R", "u") && v.bounded("theta_deg") {
				v.put("w", reflect.Line(v.n("W"), v.n("R"), v.n("theta_deg"), v.n("u"), v.n("d")))
			}
		},
	},
	{
		Name: "ref-cyl", Title: "What a stretch of a cylinder mirrors", Law: "ψ = 2φ + atan(R·sinφ/(u - R·cosφ))", Source: "law of reflection, exact",
		In: []Field{
			num("R", "m", "radius"), num("u_axis", "m", "axis to camera"), num("phi1_deg", "°", "first normal, from the direction to the camera"),
			num("phi2_deg", "°", "second normal"), toSource,
		},
		Out: []Field{
			num("psi1_deg", "°", "direction mirrored at the first"), num("psi2_deg", "°", "at the second"), num("psi_mid_deg", "°", "midway"),
			num("W", "m", "width of the source, square to the middle ray"), num("chord", "m", "of the stretch"),
		},
		run: func(v *values) {
			if !v.positive("R") {
				return
			}
			if v.n("u_axis") <= v.n("R") {
				v.refuse("u_axis", "put the camera outside", "the camera at %g m stands in the cylinder of %g m", v.n("u_axis"), v.n("R"))
				return
			}
			a := reflect.CylinderStretch(v.n("R"), v.n("u_axis"), v.n("phi1_deg"), v.n("phi2_deg"), v.n("d"))
			v.put("psi1_deg", a.First)
			v.put("psi2_deg", a.Second)
			v.put("psi_mid_deg", a.Middle)
			v.put("W", a.Width)
			v.put("chord", a.Chord)
		},
	},
	{
		Name: "ref-fresnel", Title: "Share that clear coat mirrors", Law: "Fresnel's equations, air to n", Source: "Fresnel, 1823; any text on optics", Valid: coat,
		In: []Field{index, incidence}, Out: []Field{num("Rs", "", "swinging across the plane of incidence"), num("Rp", "", "within it"), num("R", "", "all ways")},
		run: func(v *values) {
			if v.positive("n") && v.bounded("theta_deg") {
				r := reflect.Fresnel(v.n("n"), v.n("theta_deg"))
				v.put("Rs", r.Across)
				v.put("Rp", r.Within)
				v.put("R", r.Mean)
			}
		},
	},
	{
		Name: "ref-brewster", Title: "Angle at which a polariser takes the gloss away", Law: "atan n", Source: "Brewster, 1815", Valid: coat,
		In: []Field{index}, Out: []Field{num("deg", "°", "angle of incidence")},
		run: func(v *values) {
			if v.positive("n") {
				v.put("deg", reflect.Brewster(v.n("n")))
			}
		},
	},
	{
		Name: "ref-window", Title: "Share that a clear sheet mirrors", Law: "2R/(1+R) of each polarisation, then the mean", Source: "Fresnel, both faces any number of times",
		In: []Field{index, incidence}, Out: []Field{num("R", "", "share")},
		run: func(v *values) {
			if v.positive("n") && v.bounded("theta_deg") {
				v.put("R", reflect.Window(v.n("n"), v.n("theta_deg")))
			}
		},
	},
	{
		Name: "ref-stops", Title: "Will the highlight clip", Law: "log2(R·L/(K·N²/(t·S)))", Source: "ISO 2720:1974", Valid: "moving the source away changes the highlight's size, never its brightness",
		In:  []Field{num("R", "", "share that is mirrored"), luminance, fNumber, shutter, iso, meterK},
		Out: []Field{num("cd_m2", "cd/m²", "luminance of the highlight"), num("stops_over_mid", "stops", "over the mid-tone")},
		run: func(v *values) {
			if v.positive("R", "L", "N", "t", "S", "K") {
				l := v.n("R") * v.n("L")
				v.put("cd_m2", l)
				v.put("stops_over_mid", camera.OverMid(l, v.n("N"), v.n("t"), v.n("S"), v.n("K")))
			}
		},
	},
	{
		Name: "ref-turn", Title: "How far a reflection sweeps when the table turns", Law: "the normal turns by δ, the mirrored direction by up to 2δ", Source: "law of reflection, exact", Valid: "a flat panel",
		In: []Field{
			num("normal_elev_deg", "°", "elevation of the panel's normal"), num("normal_az_deg", "°", "its azimuth from the direction to the camera"),
			num("cam_elev_deg", "°", "elevation of the camera"), num("delta_deg", "°", "turn of the table"),
		},
		Out: []Field{num("sweep_deg", "°", "turn of what is mirrored")},
		run: func(v *values) {
			v.put("sweep_deg", reflect.Sweep(v.n("normal_elev_deg"), v.n("normal_az_deg"), v.n("cam_elev_deg"), v.n("delta_deg")))
		},
	},
	{
		Name: "ref-allow", Title: "How far one light serves", Law: "(atan(W/2d) - margin)/2", Source: "ref-turn", Valid: "a reflection in the middle of the source, on a flat panel",
		In:  []Field{num("source_width", "m", "width of the source"), toSource, num("edge_margin_deg", "°", "margin to its edge").or(0.0)},
		Out: []Field{num("half_subtense_deg", "°", "half of what the source subtends"), num("max_turn_deg", "°", "turn of the table either way")},
		run: func(v *values) {
			if v.positive("d") {
				half, turn := reflect.Allowance(v.n("source_width"), v.n("d"), v.n("edge_margin_deg"))
				v.put("half_subtense_deg", half)
				v.put("max_turn_deg", turn)
			}
		},
	},
	{
		Name: "ref-grid", Title: "LED dots on a diffuser", Law: "sum over the grid of h²/(h²+r²)², over its mean", Source: "inverse square and cosine, summed", Valid: "a full diffuser before bare LEDs; not within 2h of the edge",
		In:  []Field{num("h", "mm", "LEDs to diffuser"), num("p", "mm", "pitch of the LEDs")},
		Out: []Field{num("max_over_mean", "", "most"), num("min_over_mean", "", "least"), num("ripple_pct", "%", "ripple either way"), num("stops", "stops", "from least to most")},
		run: func(v *values) {
			if v.positive("h", "p") {
				r := reflect.DotRipple(v.n("h"), v.n("p"), 1)
				v.put("max_over_mean", r.Most)
				v.put("min_over_mean", r.Least)
				v.put("ripple_pct", r.Percent)
				v.put("stops", r.Stops)
			}
		},
	},
	{
		Name: "ref-dots", Title: "LED dots in the paint", Law: "q = A·d/(u·p); |2·J1(πq)/(πq)|", Source: "blur disc of an out-of-focus grid", Valid: "camera focused on the paint; stopping down brings the dots back",
		In:  []Field{focal, fNumber, num("d", "mm", "paint to panel"), num("u", "mm", "paint to camera"), num("p", "mm", "pitch of the dots")},
		Out: []Field{num("pupil", "mm", "entrance pupil"), num("q", "", "blur over pitch"), num("contrast_factor", "", "share of the contrast that is left")},
		run: func(v *values) {
			if v.positive("f", "N", "d", "u", "p") {
				a, q, left := reflect.DotContrast(v.n("f"), v.n("N"), v.n("d"), v.n("u"), v.n("p"))
				v.put("pupil", a)
				v.put("q", q)
				v.put("contrast_factor", left)
			}
		},
	},
}
