package profiles

import (
	"fmt"

	"limn/fixtures"
	"limn/fixtures/mix"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// reader reads one file. What cannot be read is reported and replaced by
// something sound, so that the rest is still looked at.
type reader struct {
	ps      *tomlfile.Problems
	profile *fixtures.Profile
	partial bool // a slot could not be placed: what seems to be missing may be in it
}

// Parse reads one profile file. Everything wrong with it goes to ps, with its
// place. ok is false if anything was; the profile then holds what could be read
// and is never nil.
func Parse(file string, src []byte, ps *tomlfile.Problems) (p *fixtures.Profile, ok bool) {
	own := new(tomlfile.Problems)
	r := &reader{ps: own, profile: &fixtures.Profile{}}
	if t := tomlfile.Parse(file, src, own); t != nil {
		r.read(t)
		t.Close()
	}
	for _, problem := range own.Sorted() {
		if problem.Warning {
			ps.Warn(problem.Pos, problem.Cure, "%s", problem.What)
		} else {
			ps.Error(problem.Pos, problem.Cure, "%s", problem.What)
		}
	}
	return r.profile, !own.Failed()
}

func (r *reader) read(t *tomlfile.Table) {
	p := r.profile
	p.Origin = origin(t.Pos())
	if t.Require("name", `write name = "bicolour-panel"`) {
		p.Origin = origin(t.ValuePos("name"))
		if name, ok := t.String("name"); ok {
			p.Name = name
			r.checkName(t, name)
		}
	}
	p.Title, _ = t.String("title")
	p.Note, _ = t.String("note")
	if d, ok := tomlfile.Read(t, "settle", quantity.ParseDuration); ok {
		p.Settle = r.within(t, "settle", d.Seconds, 0, MaxSettle, "s")
	}
	if w, ok := tomlfile.Read(t, "max-power", quantity.ParsePower); ok {
		p.MaxWatts = w.Watts
	}
	if w, ok := tomlfile.Read(t, "standby", quantity.ParsePower); ok {
		p.Standby = w.Watts
	}
	if lm, ok := tomlfile.Read(t, "flux", lumens.parse); ok {
		p.Flux = lm
	}
	r.flicker(t)
	r.cells(t)
	r.partial = t.Damaged()
	for _, e := range t.Tables("emitter") {
		r.emitter(e)
	}
	for _, s := range t.Tables("slot") {
		r.slot(s)
	}
	if r.partial {
		return
	}
	for _, f := range p.Check() {
		at := tomlfile.Pos(f.Origin)
		if f.Warning {
			r.ps.Warn(at, f.Cure, "%s", f.What)
		} else {
			r.ps.Error(at, f.Cure, "%s", f.What)
		}
	}
}

// checkName refuses names that could not be written in a rig.
func (r *reader) checkName(t *tomlfile.Table, name string) {
	if n := len([]rune(name)); n == 0 || n > MaxName {
		r.ps.Error(t.ValuePos("name"), fmt.Sprintf("a name has 1 to %d characters", MaxName), "a name of %d characters", n)
	}
}

func (r *reader) cells(t *tomlfile.Table) {
	cells, ok := t.Int("cells")
	stride, strided := t.Int("stride")
	switch {
	case strided && !t.Has("cells"):
		r.ps.Error(t.KeyPos("stride"), "add the number of cells, as cells = 40", "a stride without cells")
	case !ok:
	case cells < 1 || cells > maxCells:
		r.ps.Error(t.ValuePos("cells"), fmt.Sprintf("a strip has 1 to %d", maxCells), "%d cells", cells)
	case strided && (stride < 1 || stride > fixtures.UniverseSize):
		r.ps.Error(t.ValuePos("stride"), "it is the slots from one cell to the next, 3 for RGB", "a stride of %d", stride)
	default:
		r.profile.Cells, r.profile.Stride = cells, stride
	}
}

// within reports a number out of its range and brings it back.
func (r *reader) within(t *tomlfile.Table, key string, v, low, high float64, unit string) float64 {
	if v < low || v > high {
		if unit != "" {
			unit = " " + unit
		}
		r.ps.Error(t.ValuePos(key), fmt.Sprintf("%s lies in %g..%g%s", key, low, high, unit), "%s is %g%s", key, v, unit)
		return min(max(v, low), high)
	}
	return v
}

// floor reads the lowest code that gives light.
func (r *reader) floor(t *tomlfile.Table) int {
	n, ok := t.Int("floor")
	if ok && n < 0 {
		r.ps.Error(t.ValuePos("floor"), "it is the lowest code that gives light, as floor = 3", "a floor of %d", n)
		return 0
	}
	return n
}

// response reads how code becomes light; linear if nothing is said.
func (r *reader) response(t *tomlfile.Table) mix.Response {
	v, ok := t.Value("response")
	if !ok {
		return mix.Linear()
	}
	const cure = `write "linear", "square", "s", { gamma = 2.2 } or { table = [[0, 0], [0.5, 0.2], [1, 1]] }`
	if name, ok := v.Text(); ok {
		switch name {
		case "linear":
			return mix.Linear()
		case "square":
			return mix.Square()
		case "s":
			return mix.SCurve()
		}
		r.ps.Error(v.Pos(), cure, "there is no response %s", quote(name))
		return mix.Linear()
	}
	curve, ok := v.Table()
	if !ok {
		r.ps.Error(v.Pos(), cure, "a response is not %s", v.Kind())
		return mix.Linear()
	}
	hasGamma, hasTable := curve.Has("gamma"), curve.Has("table")
	switch {
	case hasGamma && hasTable, !hasGamma && !hasTable:
		r.ps.Error(v.Pos(), cure, "a response is either a gamma or a table")
	case hasGamma:
		return r.gamma(curve)
	default:
		return r.responseTable(curve)
	}
	return mix.Linear()
}

func (r *reader) gamma(t *tomlfile.Table) mix.Response {
	g, ok := t.Float("gamma")
	if !ok {
		return mix.Linear()
	}
	curve, err := mix.Gamma(r.within(t, "gamma", g, MinGamma, MaxGamma, ""))
	if err != nil {
		r.ps.Error(t.ValuePos("gamma"), "", "%v", err)
		return mix.Linear()
	}
	return curve
}

func (r *reader) responseTable(t *tomlfile.Table) mix.Response {
	const cure = "write pairs of code and light, both 0..1, as [[0, 0], [0.5, 0.2], [1, 1]]"
	v, _ := t.Value("table")
	rows, ok := v.List()
	if !ok || len(rows) > MaxTablePoint {
		r.ps.Error(v.Pos(), cure, "a response table is a list of 2 to %d pairs", MaxTablePoint)
		return mix.Linear()
	}
	points := make([][2]float64, len(rows))
	for i, row := range rows {
		pair, ok := row.List()
		if !ok || len(pair) != 2 {
			r.ps.Error(row.Pos(), cure, "line %d of the response table is no pair", i+1)
			return mix.Linear()
		}
		for k := range points[i] {
			if points[i][k], ok = pair[k].Number(); !ok {
				r.ps.Error(pair[k].Pos(), cure, "%s in a response table", pair[k].Kind())
				return mix.Linear()
			}
			if i > 0 && points[i][k] <= points[i-1][k] {
				r.ps.Error(pair[k].Pos(), "codes and light both rise from line to line",
					"%g does not rise above %g", points[i][k], points[i-1][k])
				return mix.Linear()
			}
		}
	}
	curve, err := mix.Table(points)
	if err != nil {
		r.ps.Error(v.Pos(), cure, "%v", err)
		return mix.Linear()
	}
	return curve
}

func origin(p tomlfile.Pos) fixtures.Origin { return fixtures.Origin(p) }
