package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// spectraDir holds published and computed spectra; its README names the sources.
var spectraDir = filepath.Join("..", "..", "testdata", "colour")

func spectrumFile(name string) string { return filepath.Join(spectraDir, "spectra", name) }

// asked runs a command that answers with one JSON object.
func asked(t *testing.T, into any, args ...string) {
	t.Helper()
	var out, errs bytes.Buffer
	if status := run(t.Context(), append(args, "--json"), stdio{In: strings.NewReader(""), Out: &out, Err: &errs}); status != statusDone {
		t.Fatalf("%v: status %d: %s", args, status, errs.String())
	}
	d := json.NewDecoder(&out)
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		t.Fatalf("%v: %v", args, err)
	}
}

// judged is the shape of limn colour --spectrum --json.
type judged struct {
	Version      int       `json:"version"`
	File         string    `json:"file"` // within --compare
	X            float64   `json:"x"`
	Y            float64   `json:"y"`
	U            float64   `json:"u_prime"`
	V            float64   `json:"v_prime"`
	CCT          *float64  `json:"cct"`
	Duv          *float64  `json:"duv"`
	Ra           *float64  `json:"ra"`
	R9           *float64  `json:"r9"`
	R            []float64 `json:"r"`
	SSI          *float64  `json:"ssi"`
	Reference    *string   `json:"reference"`
	CRIReference *string   `json:"cri_reference"`
	CRIValid     *bool     `json:"cri_valid"`
	Note         string    `json:"note"`
}

// The fluorescent lamps F1..F12 of CIE 15: chromaticity, CCT and Ra as that
// document prints them (CCT to 10 K, Ra to whole numbers; its own sums used an
// older daylight, hence one unit).
func TestFluorescentLampsOfCIE15(t *testing.T) {
	for i, want := range [12]struct{ x, y, cct, ra float64 }{
		{.3131, .3371, 6430, 76},
		{.3721, .3751, 4230, 64},
		{.4091, .3941, 3450, 57},
		{.4402, .4031, 2940, 51},
		{.3138, .3452, 6350, 72},
		{.3779, .3882, 4150, 59},
		{.3129, .3292, 6500, 90},
		{.3458, .3586, 5000, 95},
		{.3741, .3727, 4150, 90},
		{.3458, .3588, 5000, 81},
		{.3805, .3769, 4000, 83},
		{.4370, .4042, 3000, 83},
	} {
		var got judged
		file := fmt.Sprintf("cie_F%d.csv", i+1)
		asked(t, &got, "colour", "--spectrum", spectrumFile(file))
		if got.Version != jsonVersion || len(got.R) != 14 {
			t.Errorf("%s: version %d, %d indices", file, got.Version, len(got.R))
		}
		if math.Abs(got.X-want.x) > 1e-4 || math.Abs(got.Y-want.y) > 1e-4 {
			t.Errorf("%s: xy %g %g, published %g %g", file, got.X, got.Y, want.x, want.y)
		}
		if math.Abs(*got.CCT-want.cct) > 10 {
			t.Errorf("%s: %g K, published %g K", file, *got.CCT, want.cct)
		}
		if math.Abs(math.Round(*got.Ra)-want.ra) > 1 {
			t.Errorf("%s: Ra %g, published %g", file, *got.Ra, want.ra)
		}
		if *got.R9 != got.R[8] {
			t.Errorf("%s: R9 is %g and %g", file, *got.R9, got.R[8])
		}
	}
}

// Every vector spectrum through the command, against what an independent
// program computed of it by the same rule (spectra_expected.json; tolerances
// are its own, JSON rounds to four decimals).
func TestSpectraThroughTheCommand(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(spectraDir, "spectra_expected.json"))
	if err != nil {
		t.Fatal(err)
	}
	var expected struct {
		Spectra map[string]struct {
			File   string
			X, Y   float64
			CCT    *float64  `json:"cct_K"`
			Duv    *float64  `json:"duv"`
			Ra     *float64  `json:"cri_Ra"`
			R      []float64 `json:"cri_Ri"`
			SSI    *float64  `json:"ssi_unrounded"`
			SSIRef string    `json:"ssi_reference"`
			SSIP   *float64  `json:"ssi_vs_P3200_unrounded"`
			SSID   *float64  `json:"ssi_vs_D5600_unrounded"`
		}
		Pairs []struct {
			Test, Reference string
			SSI             float64 `json:"ssi_unrounded"`
		} `json:"ssi_pairs"`
	}
	if err := json.Unmarshal(text, &expected); err != nil {
		t.Fatal(err)
	}
	if len(expected.Spectra) == 0 || len(expected.Pairs) == 0 {
		t.Fatal("nothing is expected")
	}
	near := func(name, what string, got, want *float64, tolerance float64) {
		t.Helper()
		switch {
		case (got == nil) != (want == nil):
			t.Errorf("%s: %s is %v, want %v", name, what, got, want)
		case got != nil && math.Abs(*got-*want) > tolerance:
			t.Errorf("%s: %s is %g, want %g", name, what, *got, *want)
		}
	}
	for name, want := range expected.Spectra {
		var got judged
		asked(t, &got, "colour", "--spectrum", spectrumFile(want.File))
		near(name, "x", &got.X, &want.X, 1e-6)
		near(name, "y", &got.Y, &want.Y, 1e-6)
		if want.CCT == nil {
			if got.CCT != nil || got.Duv != nil || got.Ra != nil || got.R != nil || got.SSI != nil || got.Reference != nil || got.Note == "" {
				t.Errorf("%s is no white, but %+v", name, got)
			}
			continue
		}
		near(name, "CCT", got.CCT, want.CCT, *want.CCT*1e-6)
		near(name, "Duv", got.Duv, want.Duv, 1e-7)
		near(name, "Ra", got.Ra, want.Ra, 0.02)
		near(name, "R9", got.R9, &want.R[8], 0.02)
		near(name, "SSI", got.SSI, want.SSI, 0.02)
		if *got.Reference != want.SSIRef {
			t.Errorf("%s: against %s, want %s", name, *got.Reference, want.SSIRef)
		}
		for reference, ssi := range map[string]*float64{"P3200": want.SSIP, "D5600": want.SSID} {
			var got judged
			asked(t, &got, "colour", "--spectrum", spectrumFile(want.File), "--reference", reference)
			near(name, "SSI to "+reference, got.SSI, ssi, 0.02)
			if *got.Reference != reference {
				t.Errorf("%s: against %s, want %s", name, *got.Reference, reference)
			}
		}
	}
	for _, pair := range expected.Pairs {
		got, back := compared(t, pair.Test, pair.Reference), compared(t, pair.Reference, pair.Test)
		near(pair.Test, "SSI to "+pair.Reference, got.AAgainstB, &pair.SSI, 0.02)
		near(pair.Test, "SSI the other way round", back.BAgainstA, &pair.SSI, 0.02)
	}
}

// comparedLights is the shape of limn colour --compare A B --json.
type comparedLights struct {
	Version    int    `json:"version"`
	A          judged `json:"a"`
	B          judged `json:"b"`
	Difference struct {
		DeltaUV float64  `json:"delta_uv"`
		Steps   float64  `json:"steps"`
		CCT     *float64 `json:"cct"`
		Mired   *float64 `json:"mired"`
		Duv     *float64 `json:"duv"`
		Ra      *float64 `json:"ra"`
		R9      *float64 `json:"r9"`
	} `json:"difference"`
	AAgainstB *float64 `json:"ssi_a_against_b"`
	BAgainstA *float64 `json:"ssi_b_against_a"`
}

func compared(t *testing.T, a, b string) (c comparedLights) {
	t.Helper()
	asked(t, &c, "colour", "--compare", spectrumFile(a), spectrumFile(b))
	return c
}

// Illuminants A and D65: the differences are those of their published
// chromaticities (CIE 15: 0.44758 0.40745 and 0.31272 0.32903, 2856 and 6504 K),
// and both render perfectly.
func TestComparisonOfIlluminants(t *testing.T) {
	c := compared(t, "cie_A.csv", "cie_D65.csv")
	if c.Version != jsonVersion || c.A.File != spectrumFile("cie_A.csv") || c.B.File != spectrumFile("cie_D65.csv") {
		t.Errorf("%+v", c)
	}
	uA, vA := 4*.44758/(-2*.44758+12*.40745+3), 9*.40745/(-2*.44758+12*.40745+3)
	uD, vD := 4*.31272/(-2*.31272+12*.32903+3), 9*.32903/(-2*.31272+12*.32903+3)
	want := math.Hypot(uA-uD, vA-vD)
	if d := &c.Difference; math.Abs(d.DeltaUV-want) > 2e-5 || math.Abs(d.Steps-want/0.0011) > 0.02 ||
		math.Abs(*d.CCT-(6504-2856)) > 2 || math.Abs(*d.Mired-(1e6/6504-1e6/2856)) > 0.1 || math.Abs(*d.Ra) > 0.01 {
		t.Errorf("%+v, want %g in u'v'", d, want)
	}
	if *c.AAgainstB == *c.BAgainstA {
		t.Error("SSI is the same both ways")
	}
}
