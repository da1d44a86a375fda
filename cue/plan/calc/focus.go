package calc

import (
	"math"

	"limn/cue/camera"
)

var focus = []*Formula{
	{
		Name: "dof-hyper", Title: "Hyperfocal distance", Law: "H = f²/(N·c) + f", Source: "any text on optics; some tables leave out the +f",
		In: []Field{focal, fNumber, blur}, Out: []Field{num("H_mm", "mm", "hyperfocal distance")},
		run: func(v *values) {
			if v.positive("f", "N", "c") {
				v.put("H_mm", camera.Hyperfocal(v.n("f"), v.n("N"), v.n("c")))
			}
		},
	},
	{
		Name: "dof-limits", Title: "Depth of field", Law: "k = c·N·(u-f)/f²; near u/(1+k), far u/(1-k)", Source: "thin lens, exact",
		Valid: "thin lens; distances from the entrance pupil",
		In:    []Field{focal, fNumber, blur, num("u", "mm", "focus distance")},
		Out:   []Field{num("near_mm", "mm", "near limit"), num("far_mm", "mm", "far limit"), num("total_mm", "mm", "between them")},
		run: func(v *values) {
			if !v.positive("f", "N", "c") {
				return
			}
			if v.n("u") <= v.n("f") {
				v.refuse("u", "focus beyond the focal length", "a focus of %g mm lies within the focal length of %g mm", v.n("u"), v.n("f"))
				return
			}
			d := camera.DepthOfField(v.n("f"), v.n("N"), v.n("c"), v.n("u"))
			v.put("near_mm", d.Near)
			v.put("far_mm", d.Far)
			v.put("total_mm", d.Total())
		},
	},
	{
		Name: "dof-close", Title: "Depth of field at a magnification", Law: "2·N·c·(1+m/p)/m²", Source: "Littlefield, stacking table",
		Valid: "where it is small against the distance",
		In:    []Field{fNumber, blur, magnified, pupil}, Out: []Field{num("dof_mm", "mm", "depth of field")},
		run: func(v *values) {
			if v.positive("N", "c", "m", "p") {
				v.put("dof_mm", camera.CloseDepth(v.n("N"), v.n("c"), v.n("m"), v.n("p")))
			}
		},
	},
	{
		Name: "dof-coc", Title: "Blur that is allowed on a sensor", Law: "c = √(w² + h²)/divisor", Source: "common practice, no source",
		Valid: "a convention: for delivery at full resolution take twice the pixel's pitch",
		In:    []Field{num("w", "mm", "width of the sensor"), num("h", "mm", "height"), num("divisor", "", "of the diagonal").or(camera.BlurDivisor)},
		Out:   []Field{num("diagonal_mm", "mm", "diagonal"), num("c_mm", "mm", "blur allowed")},
		run: func(v *values) {
			if v.positive("w", "h", "divisor") {
				d, c := camera.AllowedBlur(v.n("w"), v.n("h"), v.n("divisor"))
				v.put("diagonal_mm", d)
				v.put("c_mm", c)
			}
		},
	},
	{
		Name: "dof-airy", Title: "Diffraction", Law: "2.44·λ·N_eff", Source: "Airy, 1835; any text on optics",
		Valid: "round aperture without aberration, 400 to 700 nm",
		In:    []Field{wavelength, effective}, Out: []Field{num("diameter_um", "µm", "first dark ring")},
		run: func(v *values) {
			if v.positive("lambda_nm", "N_eff") {
				v.put("diameter_um", 1000*camera.Airy(v.n("lambda_nm"), v.n("N_eff")))
			}
		},
		out: func(v *values) string {
			if w := v.n("lambda_nm"); w < 400 || w > 700 {
				return "the wavelength is not of visible light"
			}
			return ""
		},
	},
	{
		Name: "dof-rss", Title: "Defocus and diffraction together", Law: "√(defocus² + diffraction²)", Source: "Hansma; Peterson",
		Valid: "a careful convention, not physics; do not show many digits",
		In:    []Field{num("defocus_um", "µm", "blur by defocus"), num("diffraction_um", "µm", "by diffraction")},
		Out:   []Field{num("blur_um", "µm", "together")},
		run:   func(v *values) { v.put("blur_um", camera.TotalBlur(v.n("defocus_um"), v.n("diffraction_um"))) },
	},
	{
		Name: "dof-nopt", Title: "Best single aperture for a depth", Law: "N_eff = √(ΔV/(4.88·λ))", Source: "rule of view cameras, from memory",
		In:  []Field{num("dV_mm", "mm", "spread on the image side"), wavelength},
		Out: []Field{effective, num("blur_mm", "mm", "blur at both ends")},
		run: func(v *values) {
			if v.positive("dV_mm", "lambda_nm") {
				n, b := camera.BestAperture(v.n("dV_mm"), v.n("lambda_nm"))
				v.put("N_eff", n)
				v.put("blur_mm", b)
			}
		},
	},
	{
		Name: "dof-spread", Title: "Spread of focus on the image side", Law: "f²/(near-f) - f²/(far-f)", Source: "thin lens, exact",
		In:  []Field{focal, num("u_near", "mm", "near end"), num("u_far", "mm", "far end")},
		Out: []Field{num("dV_mm", "mm", "spread")},
		run: func(v *values) {
			if between(v) {
				v.put("dV_mm", camera.Spread(v.n("f"), v.n("u_near"), v.n("u_far")))
			}
		},
	},
	{
		Name: "dof-blur", Title: "Blur of a point out of focus", Law: "A·|z|/(u+z), A = f/N", Source: "similar triangles, exact",
		Valid: "u from the entrance pupil",
		In:    []Field{focal, fNumber, num("u", "mm", "focus distance"), num("z", "mm", "behind it; negative before"), magnified},
		Out:   []Field{num("object_mm", "mm", "in the plane of focus"), num("sensor_mm", "mm", "on the sensor")},
		run: func(v *values) {
			if !v.positive("f", "N", "u") {
				return
			}
			if v.n("u")+v.n("z") <= 0 {
				v.refuse("z", "take a point before the lens", "the point lies behind the lens")
				return
			}
			o, s := camera.Blur(v.n("f"), v.n("N"), v.n("u"), v.n("z"), v.n("m"))
			v.put("object_mm", o)
			v.put("sensor_mm", s)
		},
	},
	{
		Name: "dof-nmax", Title: "Aperture at which diffraction fills the allowed blur", Law: "c/(2.44·λ)", Source: "Airy, 1835",
		In:  []Field{num("c_mm", "mm", "blur allowed"), wavelength},
		Out: []Field{num("N_eff_max", "", "effective f-number")},
		run: func(v *values) {
			if v.positive("c_mm", "lambda_nm") {
				v.put("N_eff_max", camera.MostAperture(v.n("c_mm"), v.n("lambda_nm")))
			}
		},
	},
}

// between refuses near and far ends that no lens can see.
func between(v *values) bool {
	if !v.positive("f") {
		return false
	}
	if !(v.n("u_near") > v.n("f")) {
		v.refuse("u_near", "take one beyond the focal length", "a near end of %g mm lies within the focal length of %g mm", v.n("u_near"), v.n("f"))
		return false
	}
	if v.n("u_far") < v.n("u_near") {
		v.refuse("u_far", "exchange them", "the far end of %g mm is nearer than the near end of %g mm", v.n("u_far"), v.n("u_near"))
		return false
	}
	return true
}

var miniature = []*Formula{
	{
		Name: "min-equiv", Title: "Settings that make a miniature look full size", Law: "A' = A/s; N_eff' = s·N_eff·(w'/w)", Source: "similar figures, exact at every depth; cinematographers' 1:25, f/4 to f/100",
		Valid: "camera at the scaled place; the light's wavelength does not shrink, so diffraction grows with the scale",
		In: []Field{
			scale, num("N_full", "", "f-number of the full size"), num("f_full", "mm", "its focal length"), num("u_full_mm", "mm", "its focus distance"),
			num("w_full", "mm", "width of its sensor"), num("w_mini", "mm", "width of the model's sensor"), num("c_full_mm", "mm", "blur allowed on the full-size sensor").or(0.03), wavelength,
		},
		Out: []Field{
			num("m_mini", "", "magnification"), num("f_mini_mm", "mm", "focal length"), num("pupil_mini_mm", "mm", "entrance pupil"),
			num("N_eff_mini", "", "effective f-number"), num("N_marked_mini", "", "f-number to set"), num("extra_stops", "stops", "more light"),
			num("airy_over_coc", "", "diffraction over the allowed blur"),
		},
		run: func(v *values) {
			if !v.positive("s", "N_full", "f_full", "w_full", "w_mini", "c_full_mm", "lambda_nm") {
				return
			}
			if v.n("u_full_mm") <= v.n("f_full") {
				v.refuse("u_full_mm", "focus beyond the focal length", "a focus of %g mm lies within the focal length of %g mm", v.n("u_full_mm"), v.n("f_full"))
				return
			}
			e := camera.Miniature(camera.View{Focal: v.n("f_full"), N: v.n("N_full"), Distance: v.n("u_full_mm"), Width: v.n("w_full")},
				v.n("s"), v.n("w_mini"), v.n("c_full_mm"), v.n("lambda_nm"))
			v.put("m_mini", e.Magnification)
			v.put("f_mini_mm", e.Focal)
			v.put("pupil_mini_mm", e.Pupil)
			v.put("N_eff_mini", e.Effective)
			v.put("N_marked_mini", e.Marked)
			v.put("extra_stops", e.Stops)
			v.put("airy_over_coc", e.AiryOverBlur)
		},
	},
	{
		Name: "min-inverse", Title: "The full-size look of a miniature frame", Law: "N_full = N_eff'·w/(s·w')", Source: "similar figures, exact",
		In:  []Field{scale, num("N_eff_mini", "", "effective f-number of the model's frame"), num("w_full", "mm", "width of the full-size sensor"), num("w_mini", "mm", "width of the model's")},
		Out: []Field{num("N_eff_full", "", "effective f-number at full size")},
		run: func(v *values) {
			if v.positive("s", "N_eff_mini", "w_full", "w_mini") {
				v.put("N_eff_full", camera.FullSizeLook(v.n("N_eff_mini"), v.n("s"), v.n("w_full"), v.n("w_mini")))
			}
		},
	},
	{
		Name: "min-stack", Title: "Focus stack at one magnification", Law: "step = DOF·(1-overlap); 1 + ceil((depth-DOF)/step)", Source: "common practice, no source",
		Valid: "counts too few where the depth is a large part of the distance: see min-stackimg",
		In:    []Field{fNumber, blur, magnified, pupil, num("overlap", "", "share of a slice").or(0.25), num("depth", "mm", "depth of the subject")},
		Out:   []Field{num("dof_mm", "mm", "depth of field"), num("step_mm", "mm", "step"), num("frames", "", "frames")},
		run: func(v *values) {
			if v.positive("N", "c", "m", "p", "depth") && overlapping(v) {
				s := camera.PlanStack(v.n("N"), v.n("c"), v.n("m"), v.n("p"), v.n("overlap"), v.n("depth"))
				v.put("dof_mm", s.Depth)
				v.put("step_mm", s.Step)
				v.count("frames", s.Frames)
			}
		},
	},
	{
		Name: "min-stackimg", Title: "Focus stack between two distances", Law: "slice = 2·c·N_eff; 1 + ceil((ΔV-slice)/(slice·(1-overlap)))", Source: "slices are alike on the image side",
		Valid: "thin lens; light must not drift during a stack",
		In:    []Field{focal, fNumber, blur, num("u_near", "mm", "near end"), num("u_far", "mm", "far end"), num("overlap", "", "share of a slice").or(0.25)},
		Out:   []Field{num("dV_mm", "mm", "spread on the image side"), num("slice_mm", "mm", "slice"), num("frames", "", "frames")},
		run: func(v *values) {
			if v.positive("N", "c") && between(v) && overlapping(v) {
				dv, s := camera.ImageStack(v.n("f"), v.n("N"), v.n("c"), v.n("u_near"), v.n("u_far"), v.n("overlap"))
				v.put("dV_mm", dv)
				v.put("slice_mm", s.Depth)
				v.count("frames", s.Frames)
			}
		},
	},
}

func overlapping(v *values) bool {
	if o := v.n("overlap"); !(o >= 0 && o < 1) {
		v.refuse("overlap", "write a share such as 0.25", "an overlap of %g leaves no step", o)
		return false
	}
	return true
}

// count gives a number of frames, of which 0 stands for too many.
func (v *values) count(key string, n int) {
	if n == 0 {
		v.put(key, math.Inf(1))
		return
	}
	v.put(key, float64(n))
}
