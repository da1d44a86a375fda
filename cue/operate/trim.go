package operate

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"limn/cue"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
)

// Trim is a change of balance over a cue: as many parts as were given at once,
// to the present cue or to those that are named.
type Trim struct {
	Cues  []string // by name; none: the present one
	All   bool     // every cue of the shoot
	Parts []Part
}

// Part is a change of one source, or of several by the same amount. One of
// the changes is given.
type Part struct {
	Of     string          // a source, a group or a role; "" = everything that is lit
	Stops  *quantity.Stops // by so many: + brighter, - darker
	Level  *cue.Level      // to this level
	Mired  float64         // + warmer, - cooler
	Tint   float64         // Duv: + greener, - pinker
	Colour *colour.Spec    // to this colour, the light held
}

// everything is the word for all sources.
const everything = "everything"

// Limits of one step; more than one step may be taken.
const (
	// MaxMired is the most mired of one trim.
	MaxMired = colour.MaxShift
	// MaxTint is the most Duv of one trim.
	MaxTint = colour.MaxDuv
)

// String is the trim as it is written after the word trim.
func (t *Trim) String() string {
	var b strings.Builder
	switch {
	case t.All:
		b.WriteString("in all cues ")
	case len(t.Cues) > 0:
		b.WriteString("in " + quoteAll(t.Cues) + " ")
	}
	for i := range t.Parts {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(t.Parts[i].String())
	}
	return b.String()
}

// String is the part as it is written: `"sky" up 1/2 stop`.
func (p *Part) String() string {
	of := everything
	if p.Of != "" {
		of = quote(p.Of)
	}
	return of + " " + p.change()
}

// change is what is done, without to what.
func (p *Part) change() string {
	switch {
	case p.Stops != nil:
		return upDown(*p.Stops)
	case p.Level != nil:
		return "to " + p.Level.String()
	case p.Colour != nil:
		if text := p.Colour.String(); !strings.HasPrefix(text, "#") {
			return "colour " + text
		}
		return "colour " + quote(p.Colour.String()) // a # begins a comment
	case p.Tint != 0:
		return "tint " + signedNumber(p.Tint)
	case p.Mired < 0:
		return plainNumber(-p.Mired) + " mired cooler"
	}
	return plainNumber(p.Mired) + " mired warmer"
}

func plainNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func signedNumber(v float64) string {
	if v > 0 {
		return "+" + plainNumber(v)
	}
	return plainNumber(v)
}

// parseTrim reads what comes after trim.
func (p *parser) parseTrim() (*Trim, *wrong) {
	t := &Trim{}
	if p.is("in") {
		p.word()
		if bad := p.trimCues(t); bad != nil {
			return nil, bad
		}
	}
	for {
		part, bad := p.part()
		if bad != nil {
			return nil, bad
		}
		t.Parts = append(t.Parts, part)
		if !p.comma() {
			return t, nil
		}
		if p.rest() == "" {
			return nil, p.wrong("after the comma comes nothing", trimCure)
		}
	}
}

const trimCure = `write for example trim sky up 1/3 stop, or trim strokes to 60 %, trim sky 10 mired warmer, trim fill tint -0.001, trim lantern colour 2200 K`

// trimCues reads the cues that a trim goes to.
func (p *parser) trimCues(t *Trim) *wrong {
	words := strings.Fields(strings.ToLower(p.rest()))
	if len(words) >= 2 && words[0] == "all" && strings.TrimRight(words[1], ":") == "cues" {
		p.word()
		p.word()
		t.All = true
		return nil
	}
	for {
		name, bad := p.known("cue", p.names.cues, slices.Concat(p.names.lights, []string{everything})...)
		if bad != nil {
			return bad
		}
		t.Cues = append(t.Cues, name)
		if !p.comma() {
			p.skip(":")
			return nil
		}
	}
}

// changeWords are what may follow the name of a light in a trim.
var changeWords = []string{"up", "down", "to", "colour", "color", "tint", "warmer", "cooler", "greener", "pinker"}

// part reads one change of one light.
func (p *parser) part() (Part, *wrong) {
	var part Part
	if p.rest() == "" {
		return part, p.wrong("trim does not say which light", trimCure)
	}
	if p.is(everything) {
		p.word()
	} else {
		of, bad := p.light()
		if bad != nil {
			return part, bad
		}
		part.Of = of
	}
	at := p.at
	text := p.clause()
	if text == "" {
		return part, &wrong{at, "trim does not say what to change", trimCure}
	}
	if bad := part.read(text, at); bad != nil {
		return part, bad
	}
	return part, nil
}

// light reads the name of a light. Where one name is the beginning of another, that
// is meant which a change follows.
func (p *parser) light() (string, *wrong) {
	start := *p
	all := p.names.lights
	for names := all; ; {
		text := longest(p.rest(), names)
		if text == "" || strings.HasPrefix(p.rest(), `"`) {
			*p = start
			return p.known("light", all, changeWords...)
		}
		after := strings.TrimLeft(p.rest()[len(text):], blanks)
		if startsChange(after) {
			return p.known("light", names, changeWords...)
		}
		names = slices.DeleteFunc(slices.Clone(names), func(n string) bool { return strings.EqualFold(n, text) })
	}
}

// startsChange says whether a text begins with a change.
func startsChange(text string) bool {
	word, rest := cutWord(strings.ToLower(text))
	if number, glued := strings.CutSuffix(word, "mired"); !glued {
		if _, ok := parseNumber(number); ok {
			second, _ := cutWord(rest)
			return slices.Contains([]string{"mired", "warmer", "cooler", "greener", "pinker"}, second)
		}
	} else if _, ok := parseNumber(number); ok {
		return true
	}
	return slices.Contains(changeWords, word)
}

// read takes the words of a change, at a byte of the whole command.
func (p *Part) read(text string, at int) *wrong {
	word, rest := cutWord(text)
	at += len(text) - len(rest)
	switch strings.ToLower(word) {
	case "up", "down":
		s, bad := parseUpDown(word, rest, at)
		p.Stops = &s
		return bad
	case "to":
		l, err := cue.ParseLevel(rest)
		if err != nil {
			if _, asColour := colour.ParseSpec(rest); asColour == nil {
				return &wrong{at, fmt.Sprintf("%q is a colour, a level is wanted", rest), "write colour " + rest}
			}
			return wrongOf(at, err)
		}
		p.Level = &l
	case "colour", "color":
		if rest == "" {
			return &wrong{at, "colour does not say which", `write colour 2200 K, or colour "#ff6a1a" with its quotes: a # alone begins a comment`}
		}
		if strings.HasPrefix(rest, `"`) {
			text, n, ok := unquote(rest)
			if !ok || n < len(rest) {
				return &wrong{at, "the quoted colour does not end", `write colour "#ff6a1a"`}
			}
			rest = text
		}
		c, err := colour.ParseSpec(rest)
		if err != nil {
			return wrongOf(at, err)
		}
		p.Colour = &c
	case "tint":
		v, ok := parseNumber(rest)
		if !ok || v == 0 || v > MaxTint || v < -MaxTint {
			return &wrong{at, fmt.Sprintf("%q is no step of tint", rest), "write tint +0.001 (greener) or tint -0.001 (pinker)"}
		}
		p.Tint = v
	default:
		return p.readShift(text, at-(len(text)-len(rest)))
	}
	return nil
}

// readShift reads "20 mired warmer", "0.001 greener", and both the other way
// round.
func (p *Part) readShift(text string, at int) *wrong {
	words := strings.FieldsFunc(strings.ToLower(text), isBlank)
	amount, sense := "", ""
	mired := false
	for _, w := range words {
		number := strings.TrimSuffix(w, "mired")
		switch _, ok := parseNumber(number); {
		case w == "mired":
			mired = true
		case ok && amount == "":
			amount, mired = number, mired || number != w
		case sense == "" && (w == "warmer" || w == "cooler" || w == "greener" || w == "pinker"):
			sense = w
		default:
			return &wrong{at, fmt.Sprintf("a light cannot be trimmed %q", text), trimCure}
		}
	}
	v, ok := parseNumber(amount)
	switch {
	case !ok, sense == "" && !mired:
		return &wrong{at, fmt.Sprintf("a light cannot be trimmed %q", text), trimCure}
	case sense == "":
		return &wrong{at, fmt.Sprintf("%q does not say which way", text), fmt.Sprintf("write %s mired warmer or %[1]s mired cooler", strings.TrimLeft(amount, signs))}
	case !(v > 0):
		return &wrong{at, fmt.Sprintf("%q has no amount above 0", text), "the words say which way: write 10 mired warmer or 10 mired cooler"}
	}
	warm := sense == "warmer" || sense == "cooler"
	switch {
	case warm && !mired:
		return &wrong{at, fmt.Sprintf("%q has no unit", text), fmt.Sprintf("write %s mired %s", amount, sense)}
	case warm && v > MaxMired:
		return &wrong{at, fmt.Sprintf("%s mired is more than any filter shifts", amount), fmt.Sprintf("a trim goes to %g mired", MaxMired)}
	case !warm && (mired || v > MaxTint):
		return &wrong{at, fmt.Sprintf("%q is no step of tint", text), "write 0.001 greener or 0.001 pinker"}
	}
	if sense == "cooler" || sense == "pinker" {
		v = -v
	}
	if warm {
		p.Mired = v
	} else {
		p.Tint = v
	}
	return nil
}

// parseUpDown reads the stops after up or down. The word for stops may be left
// out: nothing else is counted so.
func parseUpDown(word, rest string, at int) (quantity.Stops, *wrong) {
	up := strings.EqualFold(word, "up")
	example := fmt.Sprintf("write %s 1/2 stop", strings.ToLower(word))
	switch {
	case rest == "":
		return quantity.Stops{}, &wrong{at, word + " does not say how far", example}
	case strings.ContainsRune(signs, []rune(rest)[0]):
		return quantity.Stops{}, &wrong{at, fmt.Sprintf("after %s comes %q", word, rest), "the word says which way; leave the sign out"}
	}
	sign := "-"
	if up {
		sign = "+"
	}
	s, err := quantity.ParseStops(sign + rest)
	if err != nil {
		bare, bareErr := quantity.ParseStops(sign + rest + " stops")
		if bareErr != nil {
			return s, wrongOf(at, err)
		}
		unit := " stops"
		if bare.Factor() <= 2 && bare.Factor() >= 0.5 {
			unit = " stop"
		}
		s, _ = quantity.ParseStops(sign + rest + unit)
	}
	if s.Stops == 0 {
		return s, &wrong{at, fmt.Sprintf("%s %s changes nothing", word, rest), example}
	}
	return s, nil
}

// parseNumber reads a decimal number with or without a sign.
func parseNumber(text string) (float64, bool) {
	text = strings.TrimFunc(text, isBlank)
	for _, r := range signs[2:] {
		text = strings.Replace(text, string(r), "-", 1)
	}
	if len(text) > maxDigits || strings.ContainsAny(text, "eExXpPnNiI_") {
		return 0, false
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil
}
