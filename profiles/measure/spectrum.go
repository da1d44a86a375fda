package measure

import (
	"math"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// Spectral is the spectrum of one emitter alone at full. All of one light are on one
// scale: how they compare is what counts.
type Spectral struct {
	Control  string
	Spectrum *colour.Spectrum
}

// SpectralResult is a calibration out of spectra, with what they say of the light as
// a whole.
type SpectralResult struct {
	Result
	Whole   *colour.Spectrum // all emitters at full
	Quality fixtures.Quality // of the whole
	Alone   []AloneQuality   // of the emitters that are whites
	Why     error            // why there is no Quality; nil where there is
}

// AloneQuality is the quality of one white emitter.
type AloneQuality struct {
	Control string
	fixtures.Quality
}

// FromSpectra makes a calibration of spectra: chromaticity and how the emitters
// compare. With absolute the power is in W/m² nm at the meter, so that luminance is
// lux; else the sum of the emitters is that of the profile, in lumens.
func (s *Series) FromSpectra(spectra []Spectral, absolute bool) (*SpectralResult, error) {
	if len(spectra) == 0 {
		return nil, ErrNothing
	}
	series := *s
	series.Relative, series.OwnDark = !absolute, true
	scale := 1.0
	if !absolute {
		lumens, read := 0.0, 0.0
		for _, q := range spectra {
			if e := emitter(s.Profile, q.Control); e != nil {
				lumens, read = lumens+e.Flux, read+q.Spectrum.XYZ().Y
			}
		}
		if read > 0 && lumens > 0 {
			scale = lumens / read
		}
	}
	var all []*colour.Spectrum
	var ones []float64
	for _, q := range spectra {
		xyz := q.Spectrum.XYZ()
		xy, _ := xyz.XY()
		series.Readings = append(series.Readings, Reading{
			Source: s.Source, Control: q.Control, Level: 1, Lux: xyz.Y * scale, XY: xy, After: math.NaN(),
		})
		all, ones = append(all, q.Spectrum), append(ones, 1)
	}
	result, err := series.Solve()
	if err != nil {
		return nil, err
	}
	r := &SpectralResult{Result: *result}
	r.Whole = colour.Combine(all, ones)
	r.Quality, r.Why = fixtures.Judge(r.Whole)
	for _, q := range spectra {
		if quality, err := fixtures.Judge(q.Spectrum); err == nil {
			r.Alone = append(r.Alone, AloneQuality{q.Control, quality})
		}
	}
	return r, nil
}
