package fade

import (
	"fmt"

	"limn/fixtures/nearest"
)

// Curve is how light moves from one level to another.
type Curve uint8

// The curves, with u = 0..1 the share of the way.
const (
	Linear Curve = iota // s = u, in light
	Ease                // s = u²(3-2u): leaves and arrives softly
	Stops               // even in stops, as the eye counts
)

var curveNames = [...]string{Linear: "linear", Ease: "ease", Stops: "stops"}

// CurveNames lists the words ParseCurve reads.
func CurveNames() []string { return curveNames[:] }

// ParseCurve reads "linear", "ease", "stops".
func ParseCurve(text string) (Curve, error) {
	i, err := pick(text, "curve", curveNames[:])
	return Curve(i), err
}

// String is the word ParseCurve reads.
func (c Curve) String() string { return word(int(c), "curve", curveNames[:]) }

// Path is the way a colour takes to another.
type Path uint8

// The paths.
const (
	Auto     Path = iota // white between two whites, else straight
	White                // mired and Duv move evenly: along the whites
	Straight             // light is mixed: the straight line in XYZ
	Around               // constant chroma in a perceptual space: round the hues, not through grey
	Glow                 // reddens as it falls, like a filament
)

var pathNames = [...]string{Auto: "auto", White: "white", Straight: "straight", Around: "around", Glow: "glow"}

// PathNames lists the words ParsePath reads.
func PathNames() []string { return pathNames[:] }

// ParsePath reads "auto", "white", "straight", "around", "glow".
func ParsePath(text string) (Path, error) {
	i, err := pick(text, "path", pathNames[:])
	return Path(i), err
}

// String is the word ParsePath reads.
func (p Path) String() string { return word(int(p), "path", pathNames[:]) }

func pick(text, what string, names []string) (int, error) {
	for i, name := range names {
		if text == name {
			return i, nil
		}
	}
	return 0, fmt.Errorf("no %s is called %q; %s", what, text, nearest.DidYouMean(text, names))
}

func word(i int, what string, names []string) string {
	if i < len(names) {
		return names[i]
	}
	return fmt.Sprintf("%s %d", what, i)
}
