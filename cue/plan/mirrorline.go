package plan

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"limn/fixtures/nearest"
	"limn/fixtures/reflect"
)

// Line is a line of light that is wanted in the varnish, and how far from the aim
// point what draws it may stand.
type Line struct {
	Text     string // as asked for
	Stroke   reflect.Stroke
	Distance float64 // metres
}

// LinePlace is where a source or card must stand for a line.
type LinePlace struct {
	Text    string
	Missing string // why no one place does it, and what would; "" = it is known

	Figures []Figure // azimuth, elevation, distance, length, width, lean, least and most stops under the source
	Place   string   // to be written into a file
	Say     string
}

// LineError says what is wrong with the words of a line.
type LineError struct{ What, Cure string }

func (e *LineError) Error() string { return e.What + "; " + e.Cure }

// LineHelp tells how a line is asked for.
const LineHelp = `"SIDE [HEIGHT] FROM to TO": SIDE is starboard, port or top; HEIGHT is "upper edge", "lower edge" or a share such as "70 %" up (on top it is "amidships" or a share from starboard to port); FROM and TO are bow, midships, stern, or a share of the length from the bow: "starboard upper edge 10 % to 60 %", "port 40 % midships to 90 %"`

// lineCure is what would be right, in short.
const lineCure = `write "starboard upper edge 10 % to 60 %": a side, a height, and from where to where along it`

var lineSides = map[string]reflect.Side{"starboard": reflect.Starboard, "port": reflect.Port, "top": reflect.Top}

// lineAlong are places along the subject, as shares of its length. At its very ends
// there is nothing to mirror in, so the words mean just inside.
var lineAlong = map[string]float64{"bow": 0.02, "midships": 0.5, "stern": 0.98}

// lineHeights are heights by their words, as shares; the edges lie just inside.
var lineHeights = map[string]float64{"upper edge": 0.97, "lower edge": 0.03, "half way up": 0.5, "amidships": 0.5}

// ParseLine reads a line as people ask for it; see LineHelp. The error is a
// *LineError.
func ParseLine(text string) (reflect.Stroke, error) {
	words := strings.Fields(strings.ToLower(strings.NewReplacer(",", " ", "%", " % ").Replace(text)))
	p := lineParser{words: words}
	side, ok := lineSides[p.next()]
	if !ok {
		found := "nothing"
		if len(words) > 0 {
			found = strconv.Quote(words[0])
			if near := nearest.Name(words[0], []string{"starboard", "port", "top"}); near != "" {
				return reflect.Stroke{}, &LineError{fmt.Sprintf("a line begins with its side, found %s", found), fmt.Sprintf("did you mean %q?", near)}
			}
		}
		return reflect.Stroke{}, &LineError{fmt.Sprintf("a line begins with its side, found %s", found), lineCure}
	}
	up, err := p.height(side)
	if err != nil {
		return reflect.Stroke{}, err
	}
	from, err := p.share("where the line begins")
	if err != nil {
		return reflect.Stroke{}, err
	}
	if w := p.next(); w != "to" {
		return reflect.Stroke{}, &LineError{fmt.Sprintf(`"to" comes after where the line begins, found %q`, w), lineCure}
	}
	to, err := p.share("where the line ends")
	if err != nil {
		return reflect.Stroke{}, err
	}
	if w := p.next(); w != "" {
		return reflect.Stroke{}, &LineError{fmt.Sprintf("%q is one word too many", w), lineCure}
	}
	if from == to {
		return reflect.Stroke{}, &LineError{"a line from a place to the same place", "give two places along the subject"}
	}
	return reflect.Stroke{From: reflect.Spot{Side: side, Along: from, Up: up}, To: reflect.Spot{Side: side, Along: to, Up: up}, Margin: reflect.DefaultMargin}, nil
}

type lineParser struct{ words []string }

func (p *lineParser) next() string {
	if len(p.words) == 0 {
		return ""
	}
	w := p.words[0]
	p.words = p.words[1:]
	return w
}

// height reads the height where one is told: words, or the first of two shares.
func (p *lineParser) height(side reflect.Side) (float64, error) {
	for words, up := range lineHeights {
		n := len(strings.Fields(words))
		if len(p.words) >= n && strings.Join(p.words[:n], " ") == words {
			p.words = p.words[n:]
			return up, nil
		}
	}
	if at := indexOf(p.words, "to"); at == 2 && p.words[1] != "%" || at > 2 {
		return p.share("the height of the line")
	}
	if side == reflect.Top {
		return lineHeights["amidships"], nil
	}
	return lineHeights["upper edge"], nil
}

func indexOf(words []string, word string) int {
	for i, w := range words {
		if w == word {
			return i
		}
	}
	return -1
}

// share reads a place as a word or a percentage.
func (p *lineParser) share(of string) (float64, error) {
	w := p.next()
	if v, ok := lineAlong[w]; ok {
		return v, nil
	}
	v, err := strconv.ParseFloat(w, 64)
	if err != nil || !(v >= 0 && v <= 100) {
		return 0, &LineError{fmt.Sprintf("%s is %q", of, w), `it is bow, midships, stern, or a share from "0 %" to "100 %"`}
	}
	if len(p.words) > 0 && p.words[0] == "%" {
		p.next()
	}
	return v / 100, nil
}

var lawLine = law{
	"the mirror image of the line: rays from the camera to it, mirrored, as far as the source stands; then the least rectangle that holds them, with a margin",
	"law of reflection", "one flat face, facing the subject",
}

// place finds where a source or card must stand.
func (line *Line) place(scene *reflect.Scene) LinePlace {
	out := LinePlace{Text: line.Text}
	p, err := reflect.PlaceFor(scene, line.Stroke, line.Distance)
	if err != nil {
		out.Missing = err.Error()
		return out
	}
	in := []Input{{"distance", "m", "from the aim point, as asked for", line.Distance}, {"margin", "", "at each end and side", line.Stroke.Margin}}
	azimuth := math.Mod(math.Round(p.Azimuth)+360, 360)
	mm := func(v float64) string { return fmt.Sprintf("%.0f mm", v) }
	out.Figures = []Figure{
		lawLine.figure("azimuth", "azimuth of its middle", "°", p.Azimuth, in...).as(func(float64) string { return fmt.Sprintf("%g°", azimuth) }),
		lawLine.figure("elevation", "elevation", "°", p.Elevation, in...).as(func(v float64) string { return fmt.Sprintf("%.0f°", math.Round(v)+0) }),
		lawLine.figure("distance", "distance from the aim point", "mm", 1000*p.Distance, in...).as(mm),
		lawLine.figure("length", "length of the source or card", "mm", 1000*p.Length, in...).as(mm),
		lawLine.figure("width", "width", "mm", 1000*p.Width, in...).as(mm),
		lawLine.figure("lean", "its length from level", "°", p.Lean, in...).as(unit(2, "°")),
		lawMirrored.figure("least", "line under the source, at its brightest", "stops", p.Least).as(Stops),
		lawMirrored.figure("most", "line under the source, at its darkest", "stops", p.Most).as(Stops),
	}
	out.Place = fmt.Sprintf(`place = { azimuth = %g, elevation = %.0f, distance = "%.2f m" }`, azimuth, math.Round(p.Elevation)+0, p.Distance)
	out.Say = p.Words
	return out
}
