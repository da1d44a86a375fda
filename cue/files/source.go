package files

import (
	"fmt"

	"limn/fixtures/nearest"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/mix"
	"limn/fixtures/quantity"
	"limn/profiles"
	"limn/profiles/tomlfile"
)

// MaxSettle is the longest smoothing of a panel, in seconds; more is a slip of
// the unit.
const MaxSettle = profiles.MaxSettle

// source reads one [[source]].
func (l *loader) source(t *tomlfile.Table, library *profiles.Library) {
	if !l.room(len(l.shoot.Rig.Sources), cue.MaxSources, "sources", t) {
		return
	}
	s := fixtures.Source{Origin: origin(t.Pos()), Units: 1}
	name := l.name(t, `name = "sky"`)
	s.Name = name
	s.Role = l.role(t)
	if drive, ok := t.String("drive"); ok {
		if drive == "hand" {
			s.Hand = true
		} else {
			l.ps.Error(t.ValuePos("drive"), `write drive = "hand" for a light without control, or take it out`, "%s cannot be driven by %s", tomlfile.Quote(name), tomlfile.Quote(drive))
		}
	}
	if s.Hand {
		l.byHand(t, &s)
	} else {
		l.patch(t, &s, library)
	}
	s.Full = l.reading(t)
	s.Place = l.place(t)
	s.Width, _ = length(t, "width")
	s.Height, _ = length(t, "height")
	s.Diffusion, _ = t.OneOf("diffusion", grades()...)
	s.Settle = l.settle(t)
	if p, ok := t.OneOf("prefer", mix.Even.String(), mix.Power.String(), mix.Spectrum.String()); ok {
		s.Prefer, _ = mix.ParseGoal(p)
	}
	if !s.Hand {
		l.calibration(t, &s)
	}
	l.emission(t, &s)
	s.Pair, _ = t.String("pair")
	s.Note, _ = t.String("note")
	if name != "" {
		l.enter(name, thing{index: len(l.shoot.Rig.Sources)})
	}
	l.shoot.Rig.Sources = append(l.shoot.Rig.Sources, s)
}

// enter makes a name known in tables of light; who was first keeps it.
func (l *loader) enter(name string, is thing) {
	if _, taken := l.things[name]; !taken {
		l.things[name] = is
		l.names = append(l.names, name)
	}
}

func (l *loader) role(t *tomlfile.Table) fixtures.Role {
	roles := make([]string, 0, len(fixtures.Roles()))
	for _, r := range fixtures.Roles() {
		roles = append(roles, string(r))
	}
	r, _ := t.OneOf("role", roles...)
	return fixtures.Role(r)
}

// byHand refuses what a light without control cannot have.
func (l *loader) byHand(t *tomlfile.Table, s *fixtures.Source) {
	for _, key := range []string{"profile", "universe", "address", "units", "prefer", "settle", "calibration"} {
		if t.Has(key) {
			l.ps.Error(t.KeyPos(key), `take it out, or drive = "hand"`, "%s is set by hand, so it has no %s", tomlfile.Quote(s.Name), key)
		}
	}
}

// patch reads the profile and the addresses.
func (l *loader) patch(t *tomlfile.Table, s *fixtures.Source, library *profiles.Library) {
	if t.Require("profile", `profile = "bicolour-panel", or drive = "hand" for a light without control`) {
		if name, ok := t.String("profile"); ok {
			p, found := library.Find(name)
			if !found {
				l.ps.Error(t.ValuePos("profile"), nearest.DidYouMean(name, library.Names()), "no profile is called %s", tomlfile.Quote(name))
			}
			s.Profile = p
		}
	}
	s.Universe = l.universe(t, s)
	s.Addresses = l.addresses(t)
	if n, ok := t.Int("units"); ok {
		if n < 1 || n > fixtures.MaxUnits {
			l.ps.Error(t.ValuePos("units"), fmt.Sprintf("1 to %d units may share an address", fixtures.MaxUnits), "%d units", n)
		} else {
			s.Units = n
		}
	}
	if s.Universe == 0 || len(s.Addresses) == 0 || t.Damaged() {
		s.Profile = nil // said already; Rig.Check passes over sources without one
	}
}

func (l *loader) universe(t *tomlfile.Table, s *fixtures.Source) int {
	if !t.Require("universe", "universe = 1") {
		return 0
	}
	n, ok := t.Int("universe")
	switch {
	case !ok:
		return 0
	case n < 1 || n > fixtures.MaxUniverse:
		l.ps.Error(t.ValuePos("universe"), fmt.Sprintf("universes count from 1 to %d", fixtures.MaxUniverse), "there is no universe %d", n)
		return 0
	case !l.universes[n] && !t.Damaged():
		l.ps.Error(t.ValuePos("universe"), l.carriers(n), "no output carries universe %d, where %s is", n, tomlfile.Quote(s.Name))
	}
	return n
}

// carriers says how to get a universe carried.
func (l *loader) carriers(n int) string {
	if len(l.shoot.Outputs) == 0 {
		return fmt.Sprintf("write an [[output]] with universes = [%d]", n)
	}
	return fmt.Sprintf("add %d to the universes of output %s, or write another [[output]]", n, tomlfile.Quote(l.shoot.Outputs[0].Name))
}

// addresses reads one start address or a list of them.
func (l *loader) addresses(t *tomlfile.Table) []int {
	if !t.Require("address", "address = 1") {
		return nil
	}
	v, _ := t.Value("address")
	values, isList := v.List()
	if !isList {
		values = []tomlfile.Value{v}
	}
	if len(values) == 0 {
		l.ps.Error(v.Pos(), "write address = 1, or [1, 21] for several units", "the list of addresses is empty")
	}
	if len(values) > fixtures.UniverseSize {
		l.ps.Error(v.Pos(), "split it in several sources", "%d addresses are more than a universe has", len(values))
		return nil
	}
	var out []int
	for _, v := range values {
		n, ok := v.Integer()
		switch {
		case !ok:
			l.ps.Error(v.Pos(), "write address = 1, or [1, 21] for several units", "an address is %s, a whole number is wanted", v.Kind())
		case n < 1 || n > fixtures.UniverseSize:
			l.ps.Error(v.Pos(), fmt.Sprintf("addresses count from 1 to %d", fixtures.UniverseSize), "there is no address %d", n)
		default:
			out = append(out, n)
		}
	}
	return out
}

// reading reads full, the lux at the aim point with every emitter full.
func (l *loader) reading(t *tomlfile.Table) float64 {
	q, ok := tomlfile.Read(t, "full", quantity.ParseIlluminance)
	if ok && q.Lux == 0 {
		l.ps.Error(t.ValuePos("full"), "measure it alone with every emitter full, or take it out", "a source that gives %s at its fullest gives no light", q)
		return 0
	}
	return q.Lux
}

func (l *loader) settle(t *tomlfile.Table) float64 {
	q, ok := tomlfile.Read(t, "settle", quantity.ParseDuration)
	if ok && q.Seconds > MaxSettle {
		l.ps.Error(t.ValuePos("settle"), `write for example "0.8 s"`, "a settle of %s is more than %d s", q, MaxSettle)
		return 0
	}
	return q.Seconds
}
