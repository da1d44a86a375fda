package measure

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"limn/fixtures/colour"
	"limn/fixtures/quantity"
)

// MaxAnswer is the most characters a typed reading may have.
const MaxAnswer = 200

// Answer is a reading as somebody typed it.
type Answer struct {
	Lux float64
	XY  colour.XY // zero = no colour typed
	// Bare says that the lux came without a unit: they might be kelvin.
	Bare bool
}

// AnswerError says what is wrong with a typed reading and what would be right.
type AnswerError struct{ What, Cure string }

func (e *AnswerError) Error() string { return e.What + "; " + e.Cure }

const answerCure = "write the lux and, if the meter tells it, the colour: 1850 lx, or 1850 lx 5480 K tint +0.002, or 1850 lx xy 0.332 0.341"

// ParseAnswer reads a typed reading: lux first, then perhaps a colour as cues write
// it, "white" and what builds on it excepted. The error is an *AnswerError.
func ParseAnswer(text string) (a Answer, err error) {
	text = strings.TrimSpace(text)
	fail := func(format string, args ...any) (Answer, error) {
		return Answer{}, &AnswerError{fmt.Sprintf(format, args...), answerCure}
	}
	if text == "" {
		return fail("no reading")
	}
	if len(text) > MaxAnswer {
		return fail("a reading of %d characters", len(text))
	}
	if spec, err := colour.ParseSpec(text); err == nil {
		return fail("%q is a colour without lux", spec.String())
	}
	words := strings.Fields(strings.NewReplacer(" lux", " lx", "Lux", "lx", ",", " ").Replace(text))
	if len(words) == 0 {
		return fail("%q is no reading", text)
	}
	take := 1
	if len(words) > 1 && isLuxUnit(words[1]) {
		take = 2
	}
	luxText := strings.Join(words[:take], " ")
	if v, err := strconv.ParseFloat(words[0], 64); err == nil && take == 1 {
		a.Bare = true
		luxText = strconv.FormatFloat(v, 'f', -1, 64) + " lx"
	}
	lux, err := quantity.ParseIlluminance(luxText)
	if err != nil {
		return fail("%q is no lux", words[0])
	}
	if !(lux.Lux <= MaxLux) {
		return fail("%s is more than any light gives", lux)
	}
	a.Lux = lux.Lux
	if rest := strings.Join(words[take:], " "); rest != "" {
		spec, err := colour.ParseSpec(rest)
		if err != nil || spec.FollowsCamera() {
			return fail("%q is no colour", rest)
		}
		a.XY = spec.Resolve(colour.White{}) // it follows no camera
	}
	if w, ok := a.XY.White(); ok && w.Kelvin < kelvinLow && a.Lux >= kelvinLow && a.Lux <= kelvinHigh {
		return fail("%.4g lx and %.0f K look exchanged", a.Lux, w.Kelvin)
	}
	return a, nil
}

func isLuxUnit(word string) bool {
	_, err := quantity.ParseIlluminance("1 " + word)
	return err == nil
}

// What whites on a set lie between, in kelvin.
const kelvinLow, kelvinHigh = 1700, 12_000

// looksLikeKelvin says whether lux might be kelvin: of a usual size and round as
// kelvin are told.
func looksLikeKelvin(lux float64) bool {
	return lux >= kelvinLow && lux <= kelvinHigh && math.Mod(lux, 50) == 0
}

// Expected is what a light reads at full, against what is known of it.
type Expected struct {
	Source     string
	Lux        float64 // as read now
	Bare       bool    // read without a unit
	Known      float64 // as the rig or the last calibration has it; 0 = not known
	HasColour  bool
	SourceLine Reading // where it was read
}

// Suspect compares the readings of several lights at full with what was known of
// them: kelvin typed as lux, two lights exchanged.
func Suspect(lights []Expected) []Finding {
	var fs findings
	said := map[int]bool{}
	off := func(a, b float64) float64 { return math.Abs(math.Log2(a / b)) }
	const much, little = 0.5, 0.15 // stops
	for i := range lights {
		for j := i + 1; j < len(lights); j++ {
			a, b := &lights[i], &lights[j]
			if !(a.Known > 0 && b.Known > 0 && a.Lux > 0 && b.Lux > 0) {
				continue
			}
			if off(a.Lux, a.Known) > much && off(b.Lux, b.Known) > much && off(a.Lux, b.Known) < little && off(b.Lux, a.Known) < little {
				fs.fault(b.SourceLine.Origin, "exchange them if you typed them so, or see which light hangs at which address",
					"%s reads %.4g lx and %s %.4g lx, and it was %.4g lx and %.4g lx: the two look exchanged", a.Source, a.Lux, b.Source, b.Lux, a.Known, b.Known)
				fs[len(fs)-1].Sources = []string{a.Source, b.Source}
				said[i], said[j] = true, true
			}
		}
	}
	for i := range lights {
		l := &lights[i]
		if said[i] || !(l.Lux > 0) || l.HasColour {
			continue
		}
		switch {
		case l.Known > 0 && off(l.Lux, l.Known) > 1 && looksLikeKelvin(l.Lux):
			fs.fault(l.SourceLine.Origin, fmt.Sprintf("write lux first, as %.4g lx %.0f K", l.Known, l.Lux),
				"%s reads %.4g lx and was %.4g lx: that may be kelvin", l.Source, l.Lux, l.Known)
			fs[len(fs)-1].Sources = []string{l.Source}
		case l.Known > 0 && off(l.Lux, l.Known) > 1:
			fs.warn(l.SourceLine.Origin, "see that it is the right light, at full and alone, and that the meter is where it was",
				"%s reads %.4g lx and was %.4g lx", l.Source, l.Lux, l.Known)
		case l.Known == 0 && l.Bare && looksLikeKelvin(l.Lux):
			fs.warn(l.SourceLine.Origin, fmt.Sprintf("if it is kelvin, write lux first, as 1850 lx %.0f K", l.Lux),
				"%s: %.4g without a unit is taken as lux", l.Source, l.Lux)
		}
	}
	return fs
}
