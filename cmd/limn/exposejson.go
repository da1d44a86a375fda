package main

import (
	"io"

	"limn/cue/plan"
)

// planFigure is a figure as JSON has it; with its why where that is asked for.
func planFigure(f *plan.Figure, explain bool) object {
	o := object{{"key", f.Key}, {"title", f.Title}, {"value", figureJSON(f.Value)}, {"unit", f.Unit}}
	if f.Text != "" {
		o = append(o, member{"text", f.Text})
	}
	if f.Missing != "" {
		o = append(o, member{"missing", f.Missing})
	}
	if f.Why.Outside != "" {
		o = append(o, member{"outside", f.Why.Outside})
	}
	if !explain {
		return o
	}
	inputs := make([]object, len(f.Why.Inputs))
	for i, in := range f.Why.Inputs {
		inputs[i] = object{{"key", in.Key}, {"value", figureJSON(in.Value)}, {"unit", in.Unit}, {"means", in.Means}}
	}
	if f.Why.Formula != "" {
		o = append(o, member{"formula", f.Why.Formula})
	}
	return append(o, member{"law", f.Why.Law}, member{"source", f.Why.Source}, member{"valid", f.Why.Valid}, member{"inputs", inputs})
}

func planFigures(fs []plan.Figure, explain bool) []object {
	out := make([]object, len(fs))
	for i := range fs {
		out[i] = planFigure(&fs[i], explain)
	}
	return out
}

// exposeJSON prints the report as one object.
func exposeJSON(w io.Writer, r *plan.Expose, explain bool) error {
	cues := make([]object, len(r.Cues))
	for i := range r.Cues {
		c := &r.Cues[i]
		sources := []object{}
		for j := range c.Light.Sources {
			s := &c.Light.Sources[j]
			if s.Lit {
				sources = append(sources, object{
					{"source", s.Name},
					{"role", string(s.Role)},
					{"level", s.Level},
					{"hidden", digits{s.Hidden, figureDigits}},
					{"figures", planFigures([]plan.Figure{s.Lux, s.ToCamera, s.KeyStops, s.Left, s.Luminance}, explain)},
				})
			}
		}
		cards := []object{}
		for j := range c.Light.Cards {
			k := &c.Light.Cards[j]
			cards = append(cards, object{{"card", k.Name}, {"figures", planFigures([]plan.Figure{k.Gives, k.Takes}, explain)}})
		}
		mirrored := []object{}
		for j := range c.Highlights {
			h := &c.Highlights[j]
			mirrored = append(mirrored, object{
				{"source", h.Name}, {"incidence_deg", number{h.Incidence, 2}}, {"figures", planFigures([]plan.Figure{h.Over, h.Left}, explain)},
			})
		}
		cues[i] = object{
			{"cue", c.Name},
			{"angle", c.Angle},
			{"azimuth", c.Azimuth},
			{"camera", c.Settings},
			{"say", c.Say},
			{"exposure", planFigures(c.Exposure, explain)},
			{"sources", sources},
			{"cards", cards},
			{"ratios", planFigures(c.Light.Ratio, explain)},
			{"mirrored", mirrored},
			{"focus", object{
				{"one_frame", c.Focus.Holds},
				{"stop_down_to", figureJSON(c.Focus.Stopped)},
				{"stack_m", figureJSON(c.Focus.Stack)},
				{"stack_aperture", figureJSON(c.Focus.StackN)},
				{"figures", planFigures(c.Focus.Figures, explain)},
			}},
			{"look", planFigures(append([]plan.Figure{c.Look.Now, c.Look.Deepest}, c.Look.Wanted...), explain)},
		}
	}
	balance := []object{}
	for i := range r.Balance {
		b := &r.Balance[i]
		o := object{{"cue", b.Name}, {"even", b.Even}, {"off", planFigure(&b.Off, explain)}, {"say", b.Say}}
		if b.Trim != nil {
			o = append(o, member{"trim", object{{"source", b.Trim.Name}, {"stops", digits{b.Trim.Stops, figureDigits}}}})
		}
		balance = append(balance, o)
	}
	return writeJSON(w, object{
		{"version", jsonVersion}, {"shoot", r.Name}, {"scale", r.Scale}, {"cues", cues}, {"like", r.Like}, {"balance", balance}, {"all", r.All}, {"notes", append([]string{}, r.Notes...)},
	})
}
