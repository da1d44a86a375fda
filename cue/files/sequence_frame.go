package files

import (
	"slices"
	"strconv"
	"strings"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/nearest"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

func itoa(n int) string { return strconv.Itoa(n) }

// pictures reads the keys of a sequence by frame.
func (l *loader) pictures(t *tomlfile.Table) cue.Pictures {
	p := cue.Pictures{
		Frames:    l.count(t, "frames", cue.MaxFrames),
		Exposures: l.count(t, "exposures", cue.MaxExposures),
	}
	p.Interval, _ = tomlfile.Read(t, "interval", quantity.ParseDuration)
	l.focus(t, &p)
	l.passes(t, &p)
	l.order(t, &p)
	at := func(key string) (o fixtures.Origin) {
		if t.Has(key) {
			o = origin(t.ValuePos(key))
		}
		return o
	}
	p.At = cue.PicturesAt{
		Frames: at("frames"), Interval: at("interval"), Exposures: at("exposures"),
		Focus: at("focus"), Passes: at("passes"), Order: at("order"),
	}
	return p
}

const focusCure = `write focus = ["0.48 m", "0.50 m"], or focus = { from = "0.48 m", to = "0.52 m", steps = 7 }`

// focus reads a focus stack: distances, or the first, the last and how many.
func (l *loader) focus(t *tomlfile.Table, p *cue.Pictures) {
	v, ok := t.Value("focus")
	if !ok {
		return
	}
	if sub, isTable := v.Table(); isTable {
		l.focusRange(sub, p)
		return
	}
	list, isList := v.List()
	switch {
	case !isList:
		l.ps.Error(v.Pos(), focusCure, "focus is %s, a list of distances is wanted", v.Kind())
		return
	case len(list) == 0:
		l.ps.Error(v.Pos(), focusCure+", or take it out", "the focus stack is empty")
		return
	case len(list) > cue.MaxFocus:
		l.ps.Error(v.Pos(), "take some out", "%d focus settings are more than %d", len(list), cue.MaxFocus)
		return
	}
	for i, v := range list {
		d, ok := tomlfile.ReadValue(v, quantity.ParseLength)
		switch {
		case !ok:
		case !(d.Metres > 0):
			l.ps.Error(v.Pos(), `write "0.48 m", from the sensor mark`, "a focus of %s is no distance", d)
		case i > 0 && len(p.Focus) > 0 && p.Focus[len(p.Focus)-1].Metres == d.Metres:
			l.ps.Error(v.Pos(), "take one out", "the focus %s stands there twice in a row", d)
		default:
			p.Focus = append(p.Focus, d)
		}
	}
}

func (l *loader) focusRange(t *tomlfile.Table, p *cue.Pictures) {
	t.Require("from", `from = "0.48 m", the first focus`)
	t.Require("to", `to = "0.52 m", the last focus`)
	t.Require("steps", "steps = 7, the first and the last counted")
	from, ok := length(t, "from")
	to, okTo := length(t, "to")
	n := l.count(t, "steps", cue.MaxFocus)
	switch {
	case !ok || !okTo || n == 0:
	case !(from.Metres > 0) || !(to.Metres > 0):
		l.ps.Error(t.Pos(), `write "0.48 m", from the sensor mark`, "a focus of 0 is no distance")
	case n == 1 || from.Metres == to.Metres:
		l.ps.Error(t.Pos(), "write two distances and 2 steps or more, or focus = [\"0.48 m\"]", "a focus stack from %s to %s in %d steps is none", from, to, n)
	default:
		p.Focus = cue.FocusSteps(from, to, n)
		for i := 1; i < n; i++ {
			if p.Focus[i].Metres == p.Focus[i-1].Metres {
				l.ps.Error(t.Pos(), "write fewer, or millimetres: they are told to a tenth", "%d steps from %s to %s are too close to be told apart", n, from, to)
				break
			}
		}
	}
}

const passesCure = `write passes = true for each source in turn, or passes = ["sky", "strokes"]`

// passes reads the light passes. A group stands for its members, each in turn.
func (l *loader) passes(t *tomlfile.Table, p *cue.Pictures) {
	v, ok := t.Value("passes")
	if !ok {
		return
	}
	if yes, isBool := v.Bool(); isBool {
		p.EachPass = yes
		return
	}
	list, isList := v.List()
	if !isList {
		cure := passesCure
		if name, isText := v.Text(); isText {
			cure = "write passes = [" + tomlfile.Quote(name) + "]"
		}
		l.ps.Error(v.Pos(), cure, "passes is %s, true or a list of names is wanted", v.Kind())
		return
	}
	if len(list) == 0 {
		l.ps.Error(v.Pos(), passesCure+", or take it out", "the list of passes is empty")
	}
	for _, v := range list {
		name, isText := v.Text()
		if !isText {
			l.ps.Error(v.Pos(), passesCure, "a pass is %s, a name is wanted", v.Kind())
			continue
		}
		is, known := l.things[name]
		switch {
		case !known && l.damaged:
		case !known:
			l.ps.Error(v.Pos(), nearest.DidYouMean(name, l.names), "no source or group is called %s", tomlfile.Quote(name))
		case is.group:
			for _, m := range l.shoot.Groups[is.index].Members {
				l.pass(v.Pos(), m, p)
			}
		default:
			l.pass(v.Pos(), is.index, p)
		}
	}
}

func (l *loader) pass(at tomlfile.Pos, source int, p *cue.Pictures) {
	name := tomlfile.Quote(l.shoot.Rig.Sources[source].Name)
	switch {
	case l.dark(source):
		l.ps.Error(at, "take it out", "%s gives no light", name)
	case slices.Contains(p.Passes, source):
		l.ps.Error(at, "take one out", "%s has a pass already", name)
	default:
		p.Passes = append(p.Passes, source)
	}
}

// order reads in which order a sequence by frame goes through its parts.
func (l *loader) order(t *tomlfile.Table, p *cue.Pictures) {
	v, ok := t.Value("order")
	if !ok {
		return
	}
	words := cue.DefaultOrder()
	cure := `write order = ["` + strings.Join(words, `", "`) + `"], outermost first`
	list, isList := v.List()
	if !isList {
		l.ps.Error(v.Pos(), cure, "order is %s, a list of words is wanted", v.Kind())
		return
	}
	for _, v := range list {
		word, isText := v.Text()
		switch {
		case !isText:
			l.ps.Error(v.Pos(), cure, "a word of order is %s, a text is wanted", v.Kind())
		case !slices.Contains(words, word):
			l.ps.Error(v.Pos(), nearest.DidYouMean(word, words), "order knows no %s", tomlfile.Quote(word))
		case slices.Contains(p.Order, word):
			l.ps.Error(v.Pos(), "take one out", "%s stands in the order twice", word)
		default:
			p.Order = append(p.Order, word)
		}
	}
}
