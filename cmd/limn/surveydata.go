package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// surveyCSV is a survey for a spreadsheet: a header, a line for each white,
// what is not known left empty.
func surveyCSV(s *fixtures.Survey) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	header := []string{
		"asked_k", "reached_k", "reached_duv", "x", "y", "error_steps", "in_gamut",
		"output_stops_below", "lumens", "watts", "ra", "r9", "ssi", "ssi_reference",
	}
	for _, n := range fixtures.CleanSteps {
		header = append(header, fmt.Sprintf("clean_%g_step_stops_below", n), fmt.Sprintf("clean_%g_step_percent", n))
	}
	w.Write(header)
	for i := range s.Points {
		f := figuresOf(&s.Points[i])
		row := []string{
			cell(f.asked.Kelvin, 0), cell(f.reached.Kelvin, 1), cell(f.reached.Duv, 6), cell(f.xy.X, 6), cell(f.xy.Y, 6),
			cell(f.steps, 3), fmt.Sprint(f.inGamut), cell(f.stops, 3), cell(f.lumens, 1), cell(f.watts, 2),
			cell(f.ra, 2), cell(f.r9, 2), cell(f.ssi, 2), f.reference,
		}
		for _, d := range f.clean {
			row = append(row, cell(d.Stops, 3), cell(100*d.Share(), 4))
		}
		w.Write(row)
	}
	w.Flush()
	return b.Bytes()
}

// cell is a number of a table, empty where there is none.
func cell(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	return string(appendFixed(nil, v, decimals))
}

// figures are the numbers of one white, NaN where there are none.
type figures struct {
	asked, reached colour.White
	xy             colour.XY
	steps, stops   float64
	inGamut        bool
	lumens, watts  float64
	ra, r9, ssi    float64
	reference      string
	clean          [len(fixtures.CleanSteps)]fixtures.Depth
}

func figuresOf(p *fixtures.SurveyPoint) figures {
	f := figures{
		asked: p.Asked, reached: colour.White{Kelvin: none, Duv: none}, xy: colour.XY{X: none, Y: none},
		steps: p.Steps, stops: p.Stops, inGamut: p.Report.Aim.InGamut, lumens: p.Report.Lumens, watts: none,
		ra: none, r9: none, ssi: none, clean: p.Clean,
	}
	if xy, ok := p.Report.Light.XY(); ok {
		f.xy = xy
	}
	if p.HasWhite {
		f.reached = p.Reached
	}
	if p.HasWatts {
		f.watts = p.Report.Watts
	}
	if p.Unjudged == nil {
		f.ra, f.r9, f.ssi, f.reference = p.Quality.CRI.Ra, p.Quality.CRI.R[8], p.Quality.SSI, p.Quality.Reference
	}
	return f
}

// surveyObject is a survey in JSON.
func surveyObject(s *fixtures.Survey, goal string) any {
	whites := make([]object, len(s.Points))
	for i := range s.Points {
		whites[i] = whiteObject(&s.Points[i])
	}
	o := object{
		{"version", jsonVersion},
		{"profile", s.Profile.Name},
		{"title", titleOf(s.Profile)},
		{"prefer", goal},
		{"slots", s.Profile.Footprint()},
		{"max_lumens", digits{s.Lumens, mixDigits}},
		{"level", digits{s.Share, lightDigits}},
		{"step", colour.Step},
		{"whites", whites},
	}
	if err := unjudged(s); err != nil {
		o = append(o, member{"note", "ra, r9, ssi: " + err.Error()})
	}
	return o
}

func whiteObject(p *fixtures.SurveyPoint) object {
	f := figuresOf(p)
	var reference any
	if f.reference != "" {
		reference = f.reference
	}
	drives, slots := reportMembers(&p.Report)
	clean := make([]object, len(f.clean))
	for i, d := range f.clean {
		clean[i] = object{
			{"steps", fixtures.CleanSteps[i]},
			{"stops_below", number{d.Stops, indexDecimals}},
			{"share", digits{d.Share(), 6}},
			{"and_below", d.Limit},
		}
	}
	return object{
		{"asked", object{{"cct", number{f.asked.Kelvin, kelvinDecimals}}, {"duv", number{f.asked.Duv, duvDecimals}}}},
		{"reached", object{
			{"x", number{f.xy.X, exactDecimals}},
			{"y", number{f.xy.Y, exactDecimals}},
			{"cct", number{f.reached.Kelvin, kelvinDecimals}},
			{"duv", number{f.reached.Duv, duvDecimals}},
		}},
		{"in_gamut", f.inGamut},
		{"delta_uv", number{p.Report.DeltaUV, exactDecimals}},
		{"steps", number{f.steps, indexDecimals}},
		{"stops_below", number{f.stops, indexDecimals}},
		{"lumens", digits{f.lumens, mixDigits}},
		{"watts", digits{f.watts, mixDigits}},
		{"ra", number{f.ra, indexDecimals}},
		{"r9", number{f.r9, indexDecimals}},
		{"ssi", number{f.ssi, indexDecimals}},
		{"reference", reference},
		{"drives", drives},
		{"slots", slots},
		{"clean", clean},
	}
}
