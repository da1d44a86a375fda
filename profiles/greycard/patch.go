package greycard

import (
	"fmt"
	"math"
)

// Patch is what a region of a picture holds.
type Patch struct {
	Region
	Pixels  int
	Mean    [3]float64 // linear, 1 the highest the file can hold
	Noise   [3]float64 // standard deviation of one pixel, slopes taken out
	Sigma   [3]float64 // standard error of the mean
	Clipped float64    // share of pixels at the top in any channel
	Uneven  float64    // how far corners differ, as a share of the mean
	Bands   Bands
}

// Bands are stripes that a flickering light draws through a rolling shutter.
type Bands struct {
	Contrast float64 // (highest - lowest)/mean of the strongest stripes; 0 = none found
	Number   float64 // how many in the height (or width) of the region
	Columns  bool    // they stand upright: the camera was turned
}

const (
	// full is where a file's top is taken to begin.
	full = 0.998
	// clippedPixels is the share of pixels at the top that is still chance.
	clippedPixels = 0.001
	// tooBright and tooDark are where a card should not be: common practice has it at
	// 20 to 70 %.
	tooBright = 0.85
	tooDark   = 0.02
	// unevenCard is how far the corners of a card may differ.
	unevenCard = 0.15
	// seenBands is the contrast from which bands show in flat backgrounds (common
	// practice), and so in readings.
	seenBands = 0.01
	// surelyBands is by how much bands must stand out of what noise alone would draw.
	surelyBands = 6
)

// Measure measures a region. The error is an *Error where it lies outside.
func (p *Photo) Measure(r Region) (*Patch, error) {
	if !r.in(p) {
		return nil, &Error{p.Path, fmt.Sprintf("the region %s lies outside its %d x %d pixels", r, p.Width, p.Height), "say where the card is in this picture"}
	}
	t := &Patch{Region: r, Pixels: r.Width * r.Height}
	buf := make([][3]float64, r.Width)
	rows, columns := make([]float64, r.Height), make([]float64, r.Width)
	var sums [3][3][3]float64 // by thirds of height and width
	clipped := 0
	var differences [3]float64 // of neighbours: noise without slopes
	for y := range r.Height {
		p.row(r.Y+y, r.X, r.X+r.Width, buf)
		for x, v := range buf {
			grey := (v[0] + v[1] + v[2]) / 3
			rows[y] += grey
			columns[x] += grey
			cell := &sums[min(2, 3*y/r.Height)][min(2, 3*x/r.Width)]
			if v[0] >= full || v[1] >= full || v[2] >= full {
				clipped++
			}
			for c := range v {
				t.Mean[c] += v[c]
				cell[c] += v[c]
				if x > 0 {
					d := v[c] - buf[x-1][c]
					differences[c] += d * d
				}
			}
		}
	}
	n := float64(t.Pixels)
	for c := range t.Mean {
		t.Mean[c] /= n
		t.Noise[c] = math.Sqrt(differences[c] / 2 / float64((r.Width-1)*r.Height))
		// Pixels of a developed picture share their neighbours' noise: demosaicing
		// spreads it over some four of them.
		const shared = 4
		t.Sigma[c] = t.Noise[c] * math.Sqrt(shared/n)
	}
	t.Clipped = float64(clipped) / n
	mean := (t.Mean[0] + t.Mean[1] + t.Mean[2]) / 3
	if mean > 0 {
		t.Uneven = uneven(&sums, r) / mean
		for y := range rows {
			rows[y] /= float64(r.Width)
		}
		for x := range columns {
			columns[x] /= float64(r.Height)
		}
		grain := (t.Noise[0] + t.Noise[1] + t.Noise[2]) / 3
		t.Bands = strongest(rows, mean, grain/math.Sqrt(float64(r.Width)), false)
		if b := strongest(columns, mean, grain/math.Sqrt(float64(r.Height)), true); b.Contrast > t.Bands.Contrast {
			t.Bands = b
		}
	}
	return t, nil
}

// uneven is how far the mean of the outer ninths of a region differ.
func uneven(sums *[3][3][3]float64, r Region) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range 3 {
		for j := range 3 {
			// Each ninth has its own number of pixels where thirds are not whole.
			n := float64(third(i, r.Height) * third(j, r.Width))
			v := (sums[i][j][0] + sums[i][j][1] + sums[i][j][2]) / 3 / n
			low, high = min(low, v), max(high, v)
		}
	}
	return high - low
}

// third is how many of n rows fall into part i of 3.
func third(i, n int) int {
	count := 0
	for k := range n {
		if min(2, 3*k/n) == i {
			count++
		}
	}
	return count
}

// strongest finds the strongest stripes in means of rows: the largest line of their
// spectrum, a slope and a bow taken out first. noise is what one mean varies by
// itself.
func strongest(means []float64, mean, noise float64, columns bool) Bands {
	flat := detrended(means)
	n := len(flat)
	power := 0.0
	at := 0.0
	// From one and a half stripes (less is a slope) to one for each four rows, in
	// half stripes; long regions are thinned, so that this stays some 1e6 steps.
	const most = 400.0
	highest := math.Min(float64(n)/4, most)
	for k := 1.5; k <= highest; k += 0.5 {
		w := 2 * math.Pi * k / float64(n)
		// Goertzel's recursion.
		coefficient := 2 * math.Cos(w)
		s1, s2 := 0.0, 0.0
		for _, v := range flat {
			s1, s2 = v+coefficient*s1-s2, s1
		}
		if p := s1*s1 + s2*s2 - coefficient*s1*s2; p > power {
			power, at = p, k
		}
	}
	// The edge of a shadow is strongest where a slope would be.
	const fewest = 2.5
	if at < fewest {
		return Bands{}
	}
	amplitude := 2 * math.Sqrt(max(power, 0)) / float64(n)
	// A line of pure noise has an amplitude of about 2σ/√n.
	if amplitude < surelyBands*noise/math.Sqrt(float64(n)) {
		return Bands{}
	}
	return Bands{Contrast: 2 * amplitude / mean, Number: at, Columns: columns}
}

// detrended takes the parabola nearest to values out of them.
func detrended(values []float64) []float64 {
	n := len(values)
	// Legendre polynomials on -1..1 are near enough orthogonal on many points.
	var c [3]float64
	var norm [3]float64
	legendre := func(i int) [3]float64 {
		t := 2*(float64(i)+0.5)/float64(n) - 1
		return [3]float64{1, t, (3*t*t - 1) / 2}
	}
	for i, v := range values {
		l := legendre(i)
		for k := range c {
			c[k] += v * l[k]
			norm[k] += l[k] * l[k]
		}
	}
	out := make([]float64, n)
	for i, v := range values {
		l := legendre(i)
		for k := range c {
			v -= c[k] / norm[k] * l[k]
		}
		out[i] = v
	}
	return out
}

// Finding is something that speaks against believing a picture. With Fault its
// values are not to be used.
type Finding struct {
	Path       string
	Fault      bool
	What, Cure string
}

func (f Finding) String() string { return f.Path + ": " + f.What + "; " + f.Cure }

// Findings says what is wrong with a patch. A picture of the dark may be dark.
func (p *Photo) Findings(t *Patch, dark bool) (fs []Finding) {
	add := func(fault bool, cure, format string, args ...any) {
		fs = append(fs, Finding{p.Path, fault, fmt.Sprintf(format, args...), cure})
	}
	brightest := max(t.Mean[0], t.Mean[1], t.Mean[2])
	switch {
	case t.Clipped > clippedPixels:
		add(true, "expose a stop less and take it again; readings of other exposures still count", "%.2g %% of the card is clipped", 100*t.Clipped)
	case brightest > tooBright:
		add(false, "expose half a stop less", "the card is at %.0f %% of full, near clipping", 100*brightest)
	case !dark && brightest < tooDark:
		add(false, "expose longer: the exposure is read and taken out", "the card is at %.2g %% of full, deep in the noise", 100*brightest)
	}
	if b := t.Bands; b.Contrast > seenBands {
		way := "lying"
		if b.Columns {
			way = "upright"
		}
		add(b.Contrast > 4*seenBands, "expose for at least 50 cycles of the light, or whole halves of the mains period: 1/50 s or 1/25 s at 50 Hz, 1/60 s or 1/30 s at 60 Hz",
			"%.0f %s bands of %.2g %% cross the card: the light flickers", b.Number, way, 100*b.Contrast)
	}
	if t.Uneven > unevenCard && !dark {
		add(false, "turn the card to the light, and see that no shadow falls on it", "one part of the card is %.0f %% brighter than another", 100*t.Uneven)
	}
	if p.Rough {
		add(false, "give raw files or 16-bit linear TIFFs for a calibration", "a JPEG: the camera has bent its tones, so this is a rough check only")
	}
	return fs
}
