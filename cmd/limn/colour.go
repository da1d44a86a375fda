package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"limn/cue"
	"limn/fixtures/colour"
)

type colourFlags struct {
	xy     string
	cct    float64
	duv    float64
	colour string
	white  string
	batch  string
	json   bool

	spectrum  string
	reference string
	compare   string
}

func newColour(std stdio) *cobra.Command {
	var f colourFlags
	cmd := &cobra.Command{
		Use:   "colour",
		Short: "Say one colour in every way: xy, u'v', kelvin and tint, mired",
		Long: `Says one colour in every way: CIE 1931 xy, CIE 1976 u'v', correlated colour
temperature with its tint (Duv: + green, - pink), and mired. A colour further
than 0.05 from the Planckian locus has no colour temperature, and is told so.`,
		Example: `  limn colour --colour "5600 K tint +0.003"
  limn colour --xy 0.4476,0.4074 --json
  limn colour --batch points.csv > whites.csv     # lines of x,y
  limn colour --spectrum panel.csv                # its white, Ra, R1 to R14, SSI
  limn colour --compare left.csv right.csv        # how two lights differ`,
		GroupID: groupFigures,
		Args:    f.oneToCompare,
		RunE: func(cmd *cobra.Command, args []string) error {
			for _, pair := range [][]string{
				{"xy", "cct", "colour", "batch", "spectrum", "compare"},
				{"xy", "duv"},
				{"colour", "duv"},
				{"batch", "duv"},
				{"spectrum", "duv"},
				{"compare", "duv"},
				{"reference", "xy"},
				{"reference", "cct"},
				{"reference", "colour"},
				{"reference", "batch"},
				{"reference", "compare"},
			} {
				if err := exclusive(cmd, pair...); err != nil {
					return err
				}
			}
			switch {
			case f.batch != "":
				return colourBatch(f.batch, std)
			case f.spectrum != "":
				return spectrumJudged(&f, std)
			case f.compare != "":
				return compareSpectra(&f, args[0], std)
			}
			c, asked, err := f.read(cmd)
			if err != nil {
				return err
			}
			if f.json {
				return writeJSON(std.Out, colourObject(c))
			}
			return colourText(std.Out, c, asked)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&f.xy, "xy", "", "chromaticity `X,Y` (CIE 1931)")
	fl.Float64Var(&f.cct, "cct", 0, "correlated colour temperature in `KELVIN`")
	fl.Float64Var(&f.duv, "duv", 0, "with --cct: distance `D` from the Planckian locus, + green, - pink")
	fl.StringVar(&f.colour, "colour", "", "a `COLOUR` in words: \"5600 K tint +0.003\", \"#ff6a1a\", \"xy 0.45 0.41\"")
	fl.StringVar(&f.white, "white", cue.DefaultWhite, "what \"white\" means in --colour: the camera's `WHITE`")
	fl.StringVar(&f.batch, "batch", "", "read lines of x,y from `FILE` (- for standard input), write x,y,cct,duv")
	fl.StringVar(&f.spectrum, "spectrum", "", "judge the light of a spectrum `FILE` (- for standard input): lines of wavelength_nm,power")
	fl.StringVar(&f.reference, "reference", "", "with --spectrum: what SSI compares with, `REF` P3200, D5600 or a file (default: the white of its own kelvin)")
	fl.StringVar(&f.compare, "compare", "", "compare two spectrum files: --compare `A` B")
	fl.BoolVar(&f.json, "json", false, "print one JSON object")
	return cmd
}

// oneToCompare takes a second file with --compare, and no word otherwise.
func (f *colourFlags) oneToCompare(cmd *cobra.Command, args []string) error {
	switch {
	case f.compare == "":
		return noArgs(cmd, args)
	case len(args) == 0:
		return usagef("limn colour --compare left.csv right.csv", "--compare needs two spectrum files; there is only %q", f.compare)
	}
	return atMostOne(cmd, args)
}

// read gives the chromaticity asked for, and how it was asked.
func (f *colourFlags) read(cmd *cobra.Command) (colour.XY, string, error) {
	switch {
	case f.xy != "":
		c, err := parseXY(f.xy)
		return c, "xy " + f.xy, err
	case cmd.Flags().Changed("cct"):
		c, err := whiteXY(f.cct, f.duv)
		if err != nil {
			return c, "", badFlag("cct", err)
		}
		return c, whiteText(colour.White{Kelvin: f.cct, Duv: f.duv}), nil
	case f.colour != "":
		c, err := parseColour(f.colour, f.white)
		return c, f.colour, err
	}
	return colour.XY{}, "", usagef(`limn colour --colour "5600 K"`, "no colour given: one of --xy, --cct, --colour, --spectrum, --compare, --batch is needed")
}

// parseColour reads a colour in words; white is what "white" means in it.
func parseColour(text, white string) (colour.XY, error) {
	w, err := colour.ParseSpec(white)
	if err != nil {
		return colour.XY{}, badFlag("white", err)
	}
	camera, ok := w.Resolve(colour.White{}).White()
	if !ok || w.FollowsCamera() {
		return colour.XY{}, usagef(`a camera's white is a colour temperature: "5600 K"`, "--white: %q is no camera's white", white)
	}
	spec, err := colour.ParseSpec(text)
	if err != nil {
		return colour.XY{}, badFlag("colour", err)
	}
	if err := spec.Check(camera); err != nil {
		return colour.XY{}, badFlag("colour", err)
	}
	return spec.Resolve(camera), nil
}

// whiteXY is the chromaticity of a temperature and a Duv, within the range
// where they mean something.
func whiteXY(kelvin, duv float64) (colour.XY, error) {
	switch {
	case !(kelvin >= colour.MinKelvin && kelvin <= colour.MaxKelvin):
		return colour.XY{}, fmt.Errorf("%g K is outside %g..%g K", kelvin, colour.MinKelvin, colour.MaxKelvin)
	case !(math.Abs(duv) <= colour.MaxDuv):
		return colour.XY{}, fmt.Errorf("a Duv of %g is outside -%g..%g", duv, colour.MaxDuv, colour.MaxDuv)
	}
	return colour.White{Kelvin: kelvin, Duv: duv}.XY(), nil
}

// parseXY reads "X,Y".
func parseXY(text string) (colour.XY, error) {
	c, err := splitXY(strings.Split(text, ","))
	if err != nil {
		return c, usagef("limn colour --xy 0.3127,0.3290", "--xy %q: %v", text, err)
	}
	return c, nil
}

// splitXY reads a chromaticity from two fields.
func splitXY(fields []string) (c colour.XY, err error) {
	if len(fields) != 2 {
		return c, fmt.Errorf("%d values where two are needed, x,y", len(fields))
	}
	v := [2]float64{}
	for i, f := range fields {
		if v[i], err = strconv.ParseFloat(strings.TrimSpace(f), 64); err != nil {
			return c, fmt.Errorf("%q is no number", strings.TrimSpace(f))
		}
	}
	c = colour.XY{X: v[0], Y: v[1]}
	return c, checkXY(c)
}

// xySlack is how far a chromaticity may lie outside x, y >= 0 and x + y <= 1: a
// deep red has no z, and what meters and data sheets say of one often adds up
// to a little more than 1.
const xySlack = 0.02

// checkXY refuses what cannot be the chromaticity of a light.
func checkXY(c colour.XY) error {
	if !(c.X >= -xySlack && c.Y > 0 && c.X+c.Y <= 1+xySlack) { // NaN fails here too
		return errors.New("no light has that chromaticity: x is 0 or more, y above 0, and x + y at most 1")
	}
	return nil
}

func colourObject(c colour.XY) any {
	uv := c.UV()
	w, ok := c.White()
	mired := none
	if ok {
		mired = w.Mired()
	} else {
		w = colour.White{Kelvin: none, Duv: none}
	}
	o := object{
		{"version", jsonVersion},
		{"x", number{c.X, exactDecimals}},
		{"y", number{c.Y, exactDecimals}},
		{"u_prime", number{uv.U, exactDecimals}},
		{"v_prime", number{uv.V, exactDecimals}},
		{"cct", number{w.Kelvin, kelvinDecimals}},
		{"duv", number{w.Duv, duvDecimals}},
		{"mired", number{mired, kelvinDecimals}},
	}
	if notes := colourNotes(c, ok); len(notes) > 0 {
		o = append(o, member{"note", strings.Join(notes, "; ")})
	}
	return o
}

// noTemperature is why a colour has no kelvin.
var noTemperature = fmt.Sprintf("no colour temperature has a meaning here: further than %g (Duv) from the Planckian locus, or outside %g..%g K",
	colour.MaxDuv, colour.MinKelvin, colour.MaxKelvin)

// colourNotes says what is out of the ordinary about a colour.
func colourNotes(c colour.XY, hasWhite bool) []string {
	var notes []string
	if !colour.IsReal(c) {
		notes = append(notes, "no real light has this colour")
	}
	if !hasWhite {
		notes = append(notes, noTemperature)
	}
	return notes
}

func colourText(w io.Writer, c colour.XY, asked string) error {
	uv := c.UV()
	white := "none"
	t, ok := c.White()
	if ok {
		white = fmt.Sprintf("%s, %.1f mired", whiteText(t), t.Mired())
	}
	_, err := fmt.Fprintf(w, "%s\n  xy     %.4f %.4f\n  u'v'   %.4f %.4f\n  white  %s\n",
		clean(asked), c.X, c.Y, uv.U, uv.V, white)
	for _, n := range colourNotes(c, ok) {
		_, err = fmt.Fprintf(w, "  %s\n", n)
	}
	return err
}
