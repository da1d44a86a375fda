package files

import (
	"fmt"
	"path"
	"strconv"
	"strings"

	"limn/cue"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// shape reads the form and the surface of the subject.
func (l *loader) shape(t *tomlfile.Table) {
	l.form(t)
	l.surface(t)
}

func (l *loader) form(t *tomlfile.Table) {
	f := &l.shoot.Subject.Form
	f.Origin = origin(t.ValuePos("form"))
	f.Kind, _ = t.OneOf("form", cue.FormKinds()...)
	hull, mesh := t.Has("sections"), t.Has("file")
	for _, only := range []struct {
		key, kind string
		there     bool
	}{{"sections", cue.FormHull, hull}, {"file", cue.FormMesh, mesh}, {"bow", cue.FormMesh, t.Has("bow")}, {"up", cue.FormMesh, t.Has("up")}} {
		if only.there && f.Kind != only.kind && (f.Kind != "" || !t.Has("form")) {
			l.ps.Error(t.KeyPos(only.key), fmt.Sprintf("write form = %q, or take it out", only.kind), "%s belongs to a %s", only.key, only.kind)
		}
	}
	switch f.Kind {
	case cue.FormHull:
		if t.Require("sections", `sections = [{ at = 0, points = [[0, 0], [0.1, 1]] }, { at = 1, points = [[0, 0], [0.8, 0.9]] }]`) {
			l.sections(t, f)
		}
	case cue.FormMesh:
		if t.Require("file", `file = "kittiwake.stl"`) {
			l.mesh(t, f)
		}
	case cue.FormSphere:
		s := &l.shoot.Subject
		for _, m := range []struct {
			key string
			is  quantity.Length
		}{{"width", s.Width}, {"height", s.Height}} {
			if m.is.Metres > 0 && s.Length.Metres > 0 && m.is.Metres != s.Length.Metres {
				l.ps.Error(t.ValuePos(m.key), fmt.Sprintf("write %s = %q, or another form", m.key, s.Length), "a sphere of length %s has a %s of %s", s.Length, m.key, m.is)
			}
		}
	}
	for _, key := range []string{"sections", "file", "bow", "up"} { // known, whatever was said of them
		t.Has(key)
	}
}

// sections reads the outlines of a hull.
func (l *loader) sections(t *tomlfile.Table, f *cue.Form) {
	v, _ := t.Value("sections")
	list, ok := v.List()
	if !ok || len(list) < cue.MinSections || len(list) > cue.MaxSections {
		l.ps.Error(v.Pos(), fmt.Sprintf("write a list of %d to %d sections from bow to stern", cue.MinSections, cue.MaxSections),
			"%s makes no hull", sectionsText(v.Kind(), list, ok))
		return
	}
	last := -1.0
	for _, entry := range list {
		sub, ok := entry.Table()
		if !ok {
			l.ps.Error(entry.Pos(), "write { at = 0.5, points = [[0, 0], [1, 1]] }", "a section is %s, a table is wanted", entry.Kind())
			continue
		}
		s := cue.Section{}
		sub.Require("at", "at = 0.5, a share of the length: 0 is the bow, 1 the stern")
		at, has := sub.Float("at")
		switch {
		case has && !(at >= 0 && at <= 1):
			l.ps.Error(sub.ValuePos("at"), "0 is the bow, 1 the stern", "a section at %g lies outside of the hull", at)
		case has && at <= last:
			l.ps.Error(sub.ValuePos("at"), "write them from bow to stern", "a section at %g comes behind one at %g", at, last)
		case has:
			last = at
		}
		s.At = at
		if sub.Require("points", "points = [[0, 0], [1, 1]]: half widths and heights from the keel up") {
			s.Points = l.outline(sub)
		}
		f.Sections = append(f.Sections, s)
	}
}

func sectionsText(kind string, list []tomlfile.Value, isList bool) string {
	if !isList {
		return kind
	}
	return count(len(list), "section")
}

// count is "1 section", "3 sections".
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// outline reads the points of one section.
func (l *loader) outline(t *tomlfile.Table) [][2]float64 {
	v, _ := t.Value("points")
	list, ok := v.List()
	if !ok || len(list) < 2 || len(list) > cue.MaxOutline {
		l.ps.Error(v.Pos(), fmt.Sprintf("write 2 to %d points from the keel up, as [[0, 0], [1, 1]]", cue.MaxOutline), "these points are no outline")
		return nil
	}
	var points [][2]float64
	for _, p := range list {
		pair, ok := p.List()
		var xy [2]float64
		for i := 0; ok && i < len(xy) && len(pair) == len(xy); i++ {
			xy[i], ok = pair[i].Number()
			ok = ok && xy[i] >= 0 && xy[i] <= 1
		}
		if !ok || len(pair) != len(xy) {
			l.ps.Error(p.Pos(), "write [half width, height], each a share from 0 to 1 of the subject's half width and height", "this is no point of an outline")
			continue
		}
		points = append(points, xy)
	}
	return points
}

// meshEndings are the kinds of mesh files that are read.
var meshEndings = []string{".stl", ".obj"}

// mesh reads the name of a mesh file, which reports open when they need it, and its axes.
func (l *loader) mesh(t *tomlfile.Table, f *cue.Form) {
	name, ok := t.String("file")
	at := t.ValuePos("file")
	ending := strings.ToLower(path.Ext(name))
	switch {
	case !ok:
	case name != path.Base(name) || strings.ContainsAny(name, `/\:`) || strings.HasPrefix(name, "."):
		l.ps.Error(at, `put it beside rig.toml and write its name alone: file = "kittiwake.stl"`, "%s is no name of a file in the shoot's folder", tomlfile.Quote(name))
	case ending != meshEndings[0] && ending != meshEndings[1]:
		l.ps.Error(at, "write one that ends in .stl or .obj", "%s is no mesh that can be read", tomlfile.Quote(name))
	default:
		f.File = name
	}
	f.Bow, _ = t.OneOf("bow", meshAxes...)
	f.Up, _ = t.OneOf("up", meshAxes...)
	if f.Bow != "" && f.Up != "" && strings.TrimLeft(f.Bow, "+-") == strings.TrimLeft(f.Up, "+-") {
		l.ps.Error(t.ValuePos("up"), `write two axes of the file, as bow = "-y" and up = "z"`, "bow and up are both along %s", strings.TrimLeft(f.Up, "+-"))
	}
}

var meshAxes = []string{"x", "y", "z", "-x", "-y", "-z", "+x", "+y", "+z"}

// surface reads what the subject is finished with.
func (l *loader) surface(t *tomlfile.Table) {
	s := &l.shoot.Subject.Surface
	if v, ok := t.Value("gloss"); ok {
		l.gloss(v, s)
	}
	s.Index = l.within(t, "index", cue.MinIndex, cue.MaxIndex, "index = 1.5")
	if v, ok := t.Value("reflectance"); ok {
		l.body(v, s)
	}
}

// gloss reads a word or how many degrees what is mirrored is spread by.
func (l *loader) gloss(v tomlfile.Value, s *cue.Surface) {
	text, _ := v.Text()
	words := make([]string, 0, len(cue.Spreads)+1)
	for _, w := range cue.Spreads {
		words = append(words, tomlfile.Quote(w.Word))
		if text == w.Word {
			s.Glossy, s.Gloss = true, quantity.Degrees{Degrees: w.Degrees}
			return
		}
	}
	if text == "matt" {
		s.Glossy, s.Matt = true, true
		return
	}
	cure := "write " + strings.Join(words, ", ") + `, "matt", or how far it spreads what it mirrors, as "0.3 deg"`
	d, ok := tomlfile.ReadValue(v, func(text string) (quantity.Degrees, error) {
		d, err := quantity.ParseDegrees(text)
		if err != nil {
			return d, &quantity.Error{What: fmt.Sprintf("%s is no gloss", tomlfile.Quote(text)), Cure: cure}
		}
		return d, nil
	})
	switch {
	case !ok:
	case !(d.Degrees >= 0 && d.Degrees <= cue.MaxGloss):
		l.ps.Error(v.Pos(), cure, "a spread of %s is out of range", d)
	default:
		s.Glossy, s.Gloss = true, d
	}
}

// body reads the reflectance of the body as a share, or as a colour.
func (l *loader) body(v tomlfile.Value, s *cue.Surface) {
	cure := `write a share as "12 %", or a colour as "#5a2c16"`
	if text, ok := v.Text(); ok && strings.HasPrefix(strings.TrimSpace(text), "#") {
		xyz, ok := hexLight(strings.TrimSpace(text)[1:])
		if !ok {
			l.ps.Error(v.Pos(), cure, "%s is no colour", tomlfile.Quote(text))
			return
		}
		s.Body, s.HasBody = colour.SRGB.Linear(xyz), true
		s.Reflectance = quantity.Percent{Share: xyz.Y}
		return
	}
	p, ok := tomlfile.ReadValue(v, func(text string) (quantity.Percent, error) {
		p, err := quantity.ParsePercent(text)
		if err != nil {
			return p, &quantity.Error{What: fmt.Sprintf("%s is no reflectance", tomlfile.Quote(text)), Cure: cure}
		}
		return p, nil
	})
	if ok {
		s.Reflectance, s.HasBody = p, true
		s.Body = [3]float64{p.Share, p.Share, p.Share}
	}
}

// hexLight is the light of six hexadecimal digits, Y = 1 that of white.
func hexLight(digits string) (colour.XYZ, bool) {
	code, err := strconv.ParseUint(digits, 16, 32)
	if err != nil || len(digits) != 6 {
		return colour.XYZ{}, false
	}
	part := func(shift int) float64 { return float64(code>>shift&0xff) / 0xff }
	return colour.SRGB.DecodeXYZ([3]float64{part(16), part(8), part(0)}), true
}
