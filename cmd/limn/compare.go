package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"limn/fixtures/colour"
)

// compareSpectra answers limn colour --compare A B.
func compareSpectra(f *colourFlags, other string, std stdio) error {
	if f.compare == "-" && other == "-" {
		return usagef("name a file for one of them", "both spectra cannot come from standard input")
	}
	a, err := readMeasured(f.compare, std)
	if err != nil {
		return err
	}
	b, err := readMeasured(other, std)
	if err != nil {
		return err
	}
	c := comparison{a: a, b: b}
	if c.aAgainstB, err = similarity(a, b); err != nil {
		return err
	}
	if c.bAgainstA, err = similarity(b, a); err != nil {
		return err
	}
	if f.json {
		return writeJSON(std.Out, c.object())
	}
	_, err = io.WriteString(std.Out, cleanLines(c.text()))
	return err
}

// similarity is the index of one light against another; NaN where one of them
// has nothing between 375 and 675 nm, which the index is about.
func similarity(test, reference *measured) (float64, error) {
	ssi, err := colour.SSI(test.spectrum, reference.spectrum)
	if _, dark := err.(*colour.SpectrumError); dark {
		return none, nil
	}
	return ssi, err
}

// comparison is two lights side by side. SSI is not symmetric.
type comparison struct {
	a, b                 *measured
	aAgainstB, bAgainstA float64 // NaN where there is none
}

// both says whether both lights have a white and an index.
func (c *comparison) both() bool { return c.a.unjudged == nil && c.b.unjudged == nil }

func (c *comparison) object() any {
	kelvin, mired, duv, ra, r9 := none, none, none, none, none
	if a, b := c.a, c.b; c.both() {
		kelvin, mired, duv = b.white.Kelvin-a.white.Kelvin, b.white.Mired()-a.white.Mired(), b.white.Duv-a.white.Duv
		ra, r9 = b.quality.CRI.Ra-a.quality.CRI.Ra, b.quality.CRI.R[8]-a.quality.CRI.R[8]
	}
	delta := c.a.xy.UV().Distance(c.b.xy.UV())
	return object{
		{"version", jsonVersion},
		{"a", append(object{{"file", c.a.name}}, c.a.members()...)},
		{"b", append(object{{"file", c.b.name}}, c.b.members()...)},
		{"difference", object{
			{"delta_uv", number{delta, exactDecimals}},
			{"steps", number{delta / colour.Step, indexDecimals}},
			{"cct", number{kelvin, kelvinDecimals}},
			{"mired", number{mired, kelvinDecimals}},
			{"duv", number{duv, duvDecimals}},
			{"ra", number{ra, indexDecimals}},
			{"r9", number{r9, indexDecimals}},
		}},
		{"ssi_a_against_b", number{c.aAgainstB, indexDecimals}},
		{"ssi_b_against_a", number{c.bAgainstA, indexDecimals}},
	}
}

func (c *comparison) text() string {
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 3, ' ', tabwriter.AlignRight)
	row := func(what string, value func(*measured) (float64, bool), format, change string) {
		x, okX := value(c.a)
		y, okY := value(c.b)
		cell := func(v float64, ok bool, format string) string {
			if !ok {
				return "-"
			}
			return unsignZero(fmt.Sprintf(format, v))
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t\n", what, cell(x, okX, format), cell(y, okY, format), cell(y-x, okX && okY, change))
	}
	fmt.Fprintf(w, "\tA\tB\tB - A\t\n")
	row("x", func(m *measured) (float64, bool) { return m.xy.X, true }, "%.4f", "%+.4f")
	row("y", func(m *measured) (float64, bool) { return m.xy.Y, true }, "%.4f", "%+.4f")
	row("kelvin", func(m *measured) (float64, bool) { return m.white.Kelvin, m.unjudged == nil }, "%.0f", "%+.0f")
	row("mired", func(m *measured) (float64, bool) { return m.white.Mired(), m.unjudged == nil }, "%.1f", "%+.1f")
	row("tint (Duv)", func(m *measured) (float64, bool) { return m.white.Duv, m.unjudged == nil }, "%+.4f", "%+.4f")
	row("Ra", func(m *measured) (float64, bool) { return m.quality.CRI.Ra, m.unjudged == nil }, "%.0f", "%+.0f")
	row("R9", func(m *measured) (float64, bool) { return m.quality.CRI.R[8], m.unjudged == nil }, "%.0f", "%+.0f")
	row("SSI to a white", func(m *measured) (float64, bool) { return m.quality.SSI, m.hasSSI() }, "%.0f", "%+.0f")
	w.Flush()
	steps := colour.Steps(c.a.xy, c.b.xy)
	head := fmt.Sprintf("A  %s\nB  %s\n\n", c.a.name, c.b.name)
	tail := fmt.Sprintf("\n  colour  %s\n", besideText(steps))
	if math.IsNaN(c.aAgainstB) {
		return head + b.String() + tail + "  SSI     none: one of them has no light between 375 and 675 nm\n"
	}
	return head + b.String() + tail + fmt.Sprintf("  SSI     A against B %s, B against A %s: %s\n",
		whole(c.aAgainstB), whole(c.bAgainstA), ssiMeans(min(c.aAgainstB, c.bAgainstA)))
}

// besideText is how two lights look side by side on a neutral ground: common practice.
func besideText(steps float64) string {
	text := fmt.Sprintf("%.1f steps apart", steps)
	switch {
	case steps < 1:
		return text + ", not to be told from each other"
	case steps <= 2:
		return text + ", an excellent match"
	case steps <= 4:
		return text + ", an acceptable match"
	case steps > 7:
		return text + ", seen at once"
	}
	return text + ", seen side by side"
}

// unsignZero takes the sign from what rounds to nothing.
func unsignZero(text string) string {
	if strings.Trim(text, "+-0.") == "" {
		return strings.TrimLeft(text, "+-")
	}
	return text
}
