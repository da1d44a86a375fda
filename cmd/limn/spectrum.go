package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/profiles/tomlfile"
)

// measured is a spectrum from a file and what is computed of it.
type measured struct {
	name     string
	spectrum *colour.Spectrum
	xy       colour.XY
	white    colour.White
	quality  fixtures.Quality
	unjudged error // why there are no white and no quality; nil where there are
}

// readMeasured reads a spectrum file and judges the light.
func readMeasured(name string, std stdio) (*measured, error) {
	s, err := readSpectrum(name, std)
	if err != nil {
		return nil, err
	}
	m := &measured{name: name, spectrum: s}
	m.xy, _ = s.XYZ().XY() // a spectrum that was read has visible light
	white, ok := m.xy.White()
	if !ok {
		m.unjudged = colour.ErrNotWhite
		return m, nil
	}
	m.white = white
	m.quality, m.unjudged = fixtures.Judge(s)
	return m, nil
}

// readSpectrum reads a spectrum file. What is wrong in it is said with its place.
func readSpectrum(name string, std stdio) (*colour.Spectrum, error) {
	in, err := openFile(name, std)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	s, err := colour.ReadSpectrum(in)
	var fault *colour.SpectrumError
	switch {
	case errors.As(err, &fault):
		at := tomlfile.Pos{File: name}
		if fault.Line > 0 {
			at.Line, at.Col = fault.Line, 1
		}
		printProblems(std.Err, []tomlfile.Problem{{Pos: at, What: fault.What, Cure: fault.Cure}})
		return nil, failuref(statusFiles, "", "%s is no spectrum of a light that can be read", name)
	case err != nil:
		return nil, failuref(statusFailed, "", "cannot read %s: %v", name, pathCause(err))
	}
	if s.Start > visibleFrom || s.End() < visibleTo {
		note(std.Err, "%s: it covers %d to %d nm only; what is outside counts as dark", name, s.Start, s.End())
	}
	return s, nil
}

// Where a spectrum that stops short is told of: outside, a white has hardly a
// thousandth of its light (common practice, no source).
const visibleFrom, visibleTo = 400, 700

// referenceName is a reference as ST 2122 names it.
var referenceName = regexp.MustCompile(`^([PDpd])(\d{4,5})$`)

// readReference gives the reference of a name, P3200 or D5600, or of a file.
func readReference(name string, std stdio) (*colour.Spectrum, error) {
	parts := referenceName.FindStringSubmatch(name)
	if parts == nil {
		if _, err := os.Stat(name); errors.Is(err, fs.ErrNotExist) && name != "-" {
			return nil, usagef("write P3200 (Planckian), D5600 (daylight), or a spectrum file that exists",
				"--reference: %q is neither a white nor a file", name)
		}
		return readSpectrum(name, std)
	}
	kelvin, err := strconv.ParseFloat(parts[2], 64)
	if err != nil {
		return nil, badFlag("reference", err)
	}
	make := colour.PlanckSpectrum
	if strings.EqualFold(parts[1], "D") {
		make = colour.DaylightSpectrum
	}
	s, err := make(kelvin, 1)
	if err != nil {
		return nil, badFlag("reference", err)
	}
	return s, nil
}

// against takes another reference for the similarity index than the light's own.
func (m *measured) against(reference string, std stdio) error {
	ref, err := readReference(reference, std)
	if err != nil {
		return err
	}
	m.quality.SSI, err = colour.SSI(m.spectrum, ref)
	m.quality.Reference = reference
	return err
}

// hasSSI says whether there is a similarity index: one against a reference that
// was named needs no white.
func (m *measured) hasSSI() bool { return m.quality.Reference != "" }

// spectrumJudged answers limn colour --spectrum.
func spectrumJudged(f *colourFlags, std stdio) error {
	m, err := readMeasured(f.spectrum, std)
	if err != nil {
		return err
	}
	if f.reference != "" {
		if err := m.against(f.reference, std); err != nil {
			return err
		}
	}
	if f.json {
		return writeJSON(std.Out, append(object{{"version", jsonVersion}}, m.members()...))
	}
	_, err = io.WriteString(std.Out, cleanLines(m.text()))
	return err
}

// indexDecimals are the decimals of colour indices in JSON; reports round to
// whole numbers, comparisons do not.
const indexDecimals = 4

// members are the figures of one spectrum in JSON; what has no meaning is null.
func (m *measured) members() object {
	uv := m.xy.UV()
	kelvin, duv, ra, r9, ssi := none, none, none, none, none
	var r, reference, criReference, criValid any
	if m.unjudged == nil {
		cri := &m.quality.CRI
		list := make([]number, len(cri.R))
		for i, v := range cri.R {
			list[i] = number{v, indexDecimals}
		}
		kelvin, duv = m.white.Kelvin, m.white.Duv
		ra, r9, r = cri.Ra, cri.R[8], list
		criReference, criValid = cri.Reference, cri.Valid
	}
	if m.hasSSI() {
		ssi, reference = m.quality.SSI, m.quality.Reference
	}
	o := object{
		{"x", number{m.xy.X, exactDecimals}},
		{"y", number{m.xy.Y, exactDecimals}},
		{"u_prime", number{uv.U, exactDecimals}},
		{"v_prime", number{uv.V, exactDecimals}},
		{"cct", number{kelvin, kelvinDecimals}},
		{"duv", number{duv, duvDecimals}},
		{"ra", number{ra, indexDecimals}},
		{"r9", number{r9, indexDecimals}},
		{"r", r},
		{"ssi", number{ssi, indexDecimals}},
		{"reference", reference},
		{"cri_reference", criReference},
		{"cri_valid", criValid},
	}
	if m.unjudged != nil {
		o = append(o, member{"note", m.why()})
	}
	return o
}

// why says why the light has no white and no indices.
func (m *measured) why() string {
	if errors.Is(m.unjudged, colour.ErrNotWhite) {
		return noTemperature
	}
	return m.unjudged.Error()
}

// text is the same to read.
func (m *measured) text() string {
	var b strings.Builder
	uv := m.xy.UV()
	fmt.Fprintf(&b, "%s\n  xy     %.4f %.4f\n  u'v'   %.4f %.4f\n", m.name, m.xy.X, m.xy.Y, uv.U, uv.V)
	if m.unjudged == nil {
		cri := &m.quality.CRI
		fmt.Fprintf(&b, "  white  %s, %.1f mired\n", whiteText(m.white), m.white.Mired())
		fmt.Fprintf(&b, "  Ra     %s, R9 %s [%s]%s\n", whole(cri.Ra), whole(cri.R[8]), cri.Reference, farNote(cri))
		fmt.Fprintf(&b, "  R1..7  %s\n  R8..14 %s\n", indices(cri.R[:7]), indices(cri.R[7:]))
	} else {
		fmt.Fprintf(&b, "  white  %s\n", m.why())
	}
	if m.hasSSI() {
		fmt.Fprintf(&b, "  SSI    %s [%s], %s\n", whole(m.quality.SSI), m.quality.Reference, ssiMeans(m.quality.SSI))
	}
	return b.String()
}

// farNote warns of a rendering index beyond what CIE 13.3 stands for.
func farNote(c *colour.CRI) string {
	if c.Valid {
		return ""
	}
	return fmt.Sprintf("; the light lies %.4f (uv) from its reference, too far for the index to mean much", c.Distance)
}

// indices are indices in a row, right under each other from row to row.
func indices(r []float64) string {
	var b strings.Builder
	for _, v := range r {
		fmt.Fprintf(&b, "%5s", whole(v))
	}
	return b.String()
}

// whole is an index as it is reported, never -0.
func whole(v float64) string { return strconv.FormatFloat(math.Round(v)+0, 'f', 0, 64) }

// ssiMeans is the scale that cinematographers work by: common practice.
func ssiMeans(ssi float64) string {
	switch {
	case ssi >= 90:
		return "as good as the same light"
	case ssi >= 80:
		return "a small correction"
	case ssi >= 60:
		return "seen in skin, red and cyan"
	}
	return "keep the two apart"
}
