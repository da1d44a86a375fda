package main

import (
	"io"

	"limn/cmd/internal/sheet"
	"limn/cue/plan"
)

// sheetJSON prints the sheet as one object.
func sheetJSON(w io.Writer, s *plan.Sheet, look *sheet.Options) error {
	facts := func(fs []plan.Fact) object {
		o := object{}
		for _, f := range fs {
			o = append(o, member{f.Name, f.Text})
		}
		return o
	}
	stands := func(all []plan.SheetStand) []object {
		out := []object{}
		for _, k := range all {
			out = append(out, object{{"name", k.Name}, {"kind", k.Kind}, {"size", k.Size}, {"place", k.Place}, {"mark", k.Mark}})
		}
		return out
	}
	cues := make([]object, len(s.Cues))
	for i := range s.Cues {
		c := &s.Cues[i]
		light := []object{}
		for k := range c.Light {
			l := &c.Light[k]
			light = append(light, object{
				{"source", l.Name},
				{"role", l.Role},
				{"level", l.Level},
				{"stops", l.Stops},
				{"lux", l.Lux},
				{"kelvin", l.Colour.Kelvin},
				{"tint", l.Colour.Tint},
				{"xy", l.Colour.XY},
				{"ramp", l.Colour.Note},
				{"short", l.Short},
				{"timing", l.Timing},
				{"by_hand", l.Hand},
			})
		}
		slots := []object{}
		if look.Slots {
			for _, u := range c.Slots {
				slots = append(slots, object{{"source", u.Source}, {"universe", u.Universe}, {"address", u.Address}, {"values", u.Values}})
			}
		}
		cues[i] = object{
			{"slate", c.Slate},
			{"cue", c.Name},
			{"angle", c.Angle},
			{"azimuth", c.Azimuth},
			{"look", c.Look},
			{"note", c.Note},
			{"light", light},
			{"off", append([]string{}, c.Dark...)},
			{"cards", stands(c.Cards)},
			{"moved", stands(c.Moved)},
			{"camera", c.Camera},
			{"timing", c.Timing},
			{"by_hand", append([]string{}, c.Hands...)},
			{"say", append([]string{}, c.Exposure.Say...)},
			{"watts", c.Watts},
			{"slots", slots},
		}
	}
	sources := []object{}
	for i := range s.Sources {
		l := &s.Sources[i]
		sources = append(sources, object{
			{"source", l.Name},
			{"role", l.Role},
			{"profile", l.Profile},
			{"patch", l.Patch},
			{"size", l.Size},
			{"place", l.Place},
			{"diffusion", l.Diffusion},
			{"full", l.Full},
			{"note", l.Note},
		})
	}
	cards := []object{}
	for i := range s.Cards {
		l := &s.Cards[i]
		cards = append(cards, object{{"card", l.Name}, {"kind", l.Kind}, {"size", l.Size}, {"note", l.Note}, {"in", append([]string{}, l.In...)}})
	}
	return writeJSON(w, object{
		{"version", jsonVersion},
		{"shoot", s.Name},
		{"scale", s.Scale},
		{"revision", look.Revision},
		{"made", look.Source},
		{"subject", facts(s.Subject)},
		{"camera", facts(s.Camera)},
		{"cues", cues},
		{"sources", sources},
		{"cards", cards},
		{"cautions", s.Cautions},
		{"notes", append([]string{}, s.Notes...)},
	})
}
