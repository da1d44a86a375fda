package calc

import (
	"errors"

	"limn/fixtures/fit"
)

// curve makes the curve of a formula's points.
func (v *values) curve() (*fit.Curve, bool) {
	c, err := fit.NewCurve(v.list("x"), v.list("y"))
	if err != nil {
		v.refuse("x", "give as many x as y, rising", "%v", err)
		return nil, false
	}
	return c, true
}

var (
	codes  = num("x", "", "codes, rising").of(List)
	levels = num("y", "", "light at each").of(List)
)

var fits = []*Formula{
	{
		Name: "bal-mix", Title: "A balance from light passes", Law: "Σ w·I", Source: "light adds", Valid: "linear pictures of one exposure, nothing clipped, cards unmoved",
		In:  []Field{num("images", "", "what each source gives alone").of(List), num("weights", "", "of each, 2^stops").of(List)},
		Out: []Field{num("value", "", "together"), num("shares", "", "of each").of(List)},
		run: func(v *values) {
			if len(v.list("images")) != len(v.list("weights")) || len(v.list("images")) == 0 {
				v.refuse("weights", "give one weight for each picture", "%d pictures have %d weights", len(v.list("images")), len(v.list("weights")))
				return
			}
			value, shares := fit.Mix(v.list("images"), v.list("weights"))
			v.put("value", value)
			v.put("shares", shares)
		},
	},
	{
		Name: "bal-nnls", Title: "Levels from targets", Law: "least |A·x - b|, x ≥ 0", Source: "Lawson and Hanson, Solving Least Squares Problems, 1974", Valid: "light adds; weigh rows by 1/b to fit in stops",
		In:  []Field{num("A", "lx", "readings: a row for each point, a column for each source at full").of(Matrix), num("b", "lx", "what is wanted at each point").of(List)},
		Out: []Field{num("x", "", "level of each source").of(List), num("residual", "lx", "what is left")},
		run: func(v *values) {
			c, err := fit.NonNegative(v.rows("A"), v.list("b"))
			if err != nil {
				v.refuse("b", "give one target for each row of A", "%v", err)
				return
			}
			v.put("x", c.X)
			v.put("residual", c.Residual)
		},
	},
	{
		Name: "cal-matrix", Title: "Camera values to colour", Law: "XYZ = M·rgb", Source: "CIE 15 for u'v'", Valid: "lights of the family M was fitted to",
		In:  []Field{num("M", "", "three rows of three").of(Matrix), num("rgb", "", "linear camera values").of(List)},
		Out: []Field{num("X", "", ""), num("Y", "", ""), num("Z", "", ""), num("u_prime", "", ""), num("v_prime", "", "")},
		run: func(v *values) {
			rows, rgb := v.rows("M"), v.list("rgb")
			if len(rows) != 3 || len(rows[0]) != 3 || len(rgb) != 3 {
				v.refuse("M", "give three rows of three, and three values", "the matrix and the values do not fit")
				return
			}
			m := fit.Matrix3{[3]float64(rows[0]), [3]float64(rows[1]), [3]float64(rows[2])}
			x := m.Apply([3]float64(rgb))
			sum := x[0] + 15*x[1] + 3*x[2]
			v.put("X", x[0])
			v.put("Y", x[1])
			v.put("Z", x[2])
			v.put("u_prime", 4*x[0]/sum)
			v.put("v_prime", 9*x[1]/sum)
		},
	},
	{
		Name: "cal-fit", Title: "The matrix of a camera", Law: "least squares of M·rgb - XYZ", Source: "least squares", Valid: "five lights or more; three hide their error",
		In:  []Field{num("rgb", "", "linear camera values, a row each").of(Matrix), num("xyz", "", "measured XYZ, a row each").of(Matrix)},
		Out: []Field{num("M", "", "three rows of three").of(Matrix), num("rms", "", "what is left")},
		run: func(v *values) {
			m, rms, err := fit.Matrix(v.rows("rgb"), v.rows("xyz"))
			if err != nil {
				cure := "give three or more rows of three on either side"
				if errors.Is(err, fit.ErrAlike) {
					cure = "measure lights of more different colours"
				}
				v.refuse("rgb", cure, "%v", err)
				return
			}
			v.put("M", [][]float64{m[0][:], m[1][:], m[2][:]})
			v.put("rms", rms)
		},
	},
	{
		Name: "cal-pchip", Title: "A response between readings", Law: "monotone cubic", Source: "Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5, 1984",
		In: []Field{codes, levels, num("at", "", "code")}, Out: []Field{num("y", "", "light")},
		run: func(v *values) {
			if c, ok := v.curve(); ok {
				v.put("y", c.At(v.n("at")))
			}
		},
	},
	{
		Name: "cal-invert", Title: "The code for a light", Law: "monotone cubic, halved", Source: "Fritsch and Butland, 1984",
		In: []Field{codes, levels, num("target", "", "light")}, Out: []Field{num("x", "", "code")},
		run: func(v *values) {
			if c, ok := v.curve(); ok {
				v.put("x", c.Inverse(v.n("target")))
			}
		},
	},
	{
		Name: "cal-iso", Title: "Readings made to rise", Law: "pool adjacent violators", Source: "Barlow and others, 1972",
		In: []Field{num("y", "", "readings in order").of(List)}, Out: []Field{num("y", "", "nearest that only rise").of(List)},
		run: func(v *values) { v.put("y", fit.Rising(v.list("y"))) },
	},
	{
		Name: "cal-rss", Title: "Errors together", Law: "√Σ part²", Source: "independent errors", Valid: "parts that have nothing to do with each other",
		In: []Field{num("parts", "%", "errors").of(List)}, Out: []Field{num("total", "%", "together")},
		run: func(v *values) { v.put("total", fit.RootSum(v.list("parts"))) },
	},
	{
		Name: "cal-n", Title: "How many readings", Law: "ceil((σ/target)²)", Source: "mean of independent readings",
		In: []Field{num("sigma", "%", "repeatability of one"), num("target", "%", "of their mean")}, Out: []Field{num("n", "", "readings")},
		run: func(v *values) {
			if v.positive("target") {
				v.put("n", fit.Readings(v.n("sigma"), v.n("target")))
			}
		},
	},
	{
		Name: "cal-drift", Title: "A reading without drift", Law: "y·ref0/ref(t)", Source: "straight line between reference readings",
		In: []Field{
			num("t", "min", "of the reading"), num("ref_t0", "min", "of the reference before"), num("ref_y0", "", "it"), num("ref_t1", "min", "of the one after"),
			num("ref_y1", "", "it"), num("y", "", "reading"),
		},
		Out: []Field{num("y", "", "without drift")},
		run: func(v *values) {
			if v.positive("ref_y0", "ref_y1") {
				v.put("y", fit.Undrift(v.n("y"), v.n("t"), v.n("ref_t0"), v.n("ref_y0"), v.n("ref_t1"), v.n("ref_y1")))
			}
		},
	},
	{
		Name: "cal-warm", Title: "Warming up", Law: "1 - drop·(1 - e^(-t/τ)); τ·ln(drop/tol)", Source: "exponential; drops of 3 to 10 % common practice, no source",
		In:  []Field{num("drop", "", "share that is lost"), num("tau", "min", "time constant"), num("t", "min", "since it was lit"), num("tol", "", "share that may still be lost")},
		Out: []Field{num("level", "", "share that is left"), num("wait", "min", "until it is steady")},
		run: func(v *values) {
			if v.positive("drop", "tau", "tol") {
				level, wait := fit.WarmUp(v.n("drop"), v.n("tau"), v.n("t"), v.n("tol"))
				v.put("level", level)
				v.put("wait", wait)
			}
		},
	},
}
