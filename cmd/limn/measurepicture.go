package main

import (
	"bytes"
	"fmt"
	"html"
	"html/template"
	"math"
	"path"
	"strings"

	"limn/cmd/internal/chart"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/mix"
	"limn/profiles/measure"
)

// gamutPicture is what a light can make as measured, with the emitters as they were
// taken to be beside it; nil for what makes no more than one white.
func gamutPicture(source string, p *fixtures.Profile, old, now *fixtures.Calibration) []byte {
	before := p
	if old != nil {
		if own, err := old.Apply(p); err == nil {
			before = own
		}
	}
	after, err := now.Apply(p)
	if err != nil {
		return nil
	}
	head, err := fixtures.NewHead(after, mix.Even)
	if err != nil || len(after.Emitters) < 2 {
		return nil
	}
	edge, closed := head.Outline()
	c := chart.Chromaticity{
		Title: source + ": what it makes", Subtitle: "as measured " + now.Date + "; asked is its full white as it was taken to be, reached is as measured",
		Gamut: edge, Closed: closed,
	}
	was, ok1 := measure.FullWhite(before)
	is, ok2 := measure.FullWhite(after)
	c.Target, c.Reached, c.Dark = was, is, !ok1 || !ok2
	if c.Dark {
		c.Target = after.Emitters[0].XY
	}
	for i := range after.Emitters {
		e, b := &after.Emitters[i], &before.Emitters[i]
		c.Emitters = append(c.Emitters, chart.Emitter{Name: e.Name, XY: e.XY})
		steps := colour.Steps(e.XY, b.XY)
		if steps > 0.05 {
			c.Emitters = append(c.Emitters, chart.Emitter{Name: e.Name + " before", XY: b.XY})
		}
		c.Facts = append(c.Facts, chart.Fact{Label: e.Name, Value: fmt.Sprintf("xy %.4f %.4f, %.1f steps from before", e.XY.X, e.XY.Y, steps)})
	}
	return c.SVG()
}

// Size of the picture of responses.
const (
	responseWidth, responsePanel = 760, 300
	responseLeft, responseRight  = 84, 730
	responseStops                = 10.0
)

// responsePicture draws how codes become light, a panel for each control: readings as
// dots, the measured curve, and the one before dashed.
func responsePicture(source string, r *measure.Result) []byte {
	var b bytes.Buffer
	curves := r.Curves
	height := 60 + responsePanel*len(curves)
	title := source + ": how codes become light"
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-labelledby="title desc">`+"\n", responseWidth, height)
	fmt.Fprintf(&b, "<title id=\"title\">%s</title>\n<desc id=\"desc\">%s</desc>\n", svgText(title), svgText(describeCurves(r)))
	b.WriteString(`<style>text{font-family:system-ui,sans-serif;font-size:12px;fill:#24272c}.paper{fill:#fcfbf8}.title{font-size:18px;font-weight:600}.field{fill:#f4f2ec}.grid{stroke:#e2dfd6}.now{fill:none;stroke:#0f6b6b;stroke-width:2}.before{fill:none;stroke:#a8321a;stroke-width:1.6;stroke-dasharray:6 4}.dot{fill:#24272c}@media screen and (prefers-color-scheme:dark){text{fill:#ece9e2}.paper{fill:#15171b}.field{fill:#1b1e23}.grid{stroke:#2b3038}.now{stroke:#63cfc6}.before{stroke:#ff9176}.dot{fill:#ece9e2}}</style>` + "\n")
	fmt.Fprintf(&b, `<rect class="paper" width="%d" height="%d"/><text class="title" x="20" y="32">%s</text>`+"\n", responseWidth, height, svgText(title))
	for i := range curves {
		drawCurve(&b, &curves[i], 60+float64(i)*responsePanel)
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}

// drawCurve draws one panel: codes even in stops below full across, light in stops up.
func drawCurve(b *bytes.Buffer, c *measure.Curve, top float64) {
	bottom := top + responsePanel - 60
	least := math.Log2(1 / float64(c.Max))
	least = max(least, -responseStops)
	x := func(level float64) float64 {
		return responseLeft + (1-math.Log2(level)/least)*(responseRight-responseLeft)
	}
	y := func(light float64) float64 {
		return top + min(max(-math.Log2(light)/responseStops, 0), 1)*(bottom-top)
	}
	fmt.Fprintf(b, `<rect class="field" x="%d" y="%.1f" width="%d" height="%.1f"/>`+"\n", responseLeft, top, responseRight-responseLeft, bottom-top)
	for s := 0.0; s <= responseStops; s += 2 {
		at := y(math.Exp2(-s))
		label := "full"
		if s > 0 {
			label = fmt.Sprintf("\u2212%.0f stops", s)
		}
		fmt.Fprintf(b, `<line class="grid" x1="%d" y1="%.1f" x2="%d" y2="%.1f"/><text x="%d" y="%.1f" text-anchor="end">%s</text>`+"\n", responseLeft, at, responseRight, at, responseLeft-6, at+4, label)
	}
	for s := 0.0; s >= least-1e-9; s -= 2 {
		level := math.Exp2(s)
		fmt.Fprintf(b, `<text x="%.1f" y="%.1f" text-anchor="middle">%.0f</text>`+"\n", x(level), bottom+16, level*float64(c.Max))
	}
	fmt.Fprintf(b, `<text x="%d" y="%.1f">%s, by code: dots as read, line as measured, dashes as it was taken to be</text>`+"\n", responseLeft, bottom+36, svgText(c.Control))
	for _, one := range []struct {
		class string
		curve *mix.Response
	}{{"before", c.Before}, {"now", c.Now}} {
		if one.curve == nil {
			continue
		}
		var d strings.Builder
		const parts = 120
		for k := range parts + 1 {
			level := math.Exp2(least * (1 - float64(k)/parts))
			light := one.curve.Light(level)
			if light < math.Exp2(-responseStops) || one.class == "now" && level*float64(c.Max) < float64(c.Floor) {
				continue
			}
			command := "L"
			if d.Len() == 0 {
				command = "M"
			}
			fmt.Fprintf(&d, "%s%.1f %.1f", command, x(level), y(light))
		}
		if d.Len() > 0 {
			fmt.Fprintf(b, `<path class="%s" d="%s"/>`+"\n", one.class, d.String())
		}
	}
	for _, p := range c.Points {
		if p.Light >= math.Exp2(-responseStops) && math.Log2(p.Level) >= least-1e-9 {
			fmt.Fprintf(b, `<circle class="dot" cx="%.1f" cy="%.1f" r="3.2"/>`+"\n", x(p.Level), y(p.Light))
		}
	}
}

// describeCurves is the picture in words.
func describeCurves(r *measure.Result) string {
	var b strings.Builder
	for i := range r.Curves {
		c := &r.Curves[i]
		fmt.Fprintf(&b, "%s: ", c.Control)
		for _, p := range c.Points {
			fmt.Fprintf(&b, "code %.0f gives %.3g %%; ", p.Level*float64(c.Max), 100*p.Light)
		}
	}
	return b.String()
}

func svgText(text string) string { return html.EscapeString(clean(text)) }

var measurePage = template.Must(template.New("").Parse(`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>{{.Source}}, measured</title>
<style>body{font-family:system-ui,sans-serif;max-width:70rem;margin:2rem auto;padding:0 1rem}pre{overflow-x:auto}img{max-width:100%;break-inside:avoid}</style>
</head><body><h1>{{.Source}}, measured</h1>
<pre>{{.Text}}</pre>
{{range .Pictures}}<img src="{{.}}" alt="Before and as measured; what it shows stands in its description">
{{end}}</body></html>
`))

// reportPage is the report with its pictures, which lie beside it.
func reportPage(source, text string, pictures []string) []byte {
	names := make([]string, len(pictures))
	for i, p := range pictures {
		names[i] = path.Base(p)
	}
	var b bytes.Buffer
	must(measurePage.Execute(&b, map[string]any{"Source": source, "Text": text, "Pictures": names})) // into memory
	return b.Bytes()
}
