package chart

import (
	"fmt"
	"math"
)

// Flicker is what flickering lights do in a picture, to be drawn: one panel a light.
type Flicker struct {
	Title, Subtitle string
	Lights          []FlickerLight
	Seen            float64 // how far from the mean begins to be seen, as a share
}

// FlickerLight is one light: its exposure over the mean, row by row from the top
// of the picture, or frame by frame.
type FlickerLight struct {
	Name, Verdict string
	Rows          bool
	Values        []float64
}

// Size of the picture and its parts.
const (
	flickerWidth  = 900
	flickerMargin = 40
	flickerTop    = 90
	flickerEach   = 130
	flickerHigh   = 84   // of the plot
	flickerLeft   = 200  // of the plot
	flickerRight  = 700  // of the plot; the picture itself stands to its right
	flickerSpan   = 0.05 // the least that the plot reaches to either side of the mean
)

// SVG draws the exposure over rows as a curve, and beside it the rows as a camera
// shows them.
func (f *Flicker) SVG() []byte {
	height := float64(flickerTop + flickerEach*max(1, len(f.Lights)) + 30)
	v := newCanvas(flickerWidth, height, f.Title+": "+f.Subtitle, f.describe())
	v.text("title", atStart, point{flickerMargin, 42}, shorten(f.Title, 60))
	v.text("sub", atStart, point{flickerMargin, 64}, shorten(f.Subtitle, 110))
	for i := range f.Lights {
		f.light(v, &f.Lights[i], flickerTop+float64(i)*flickerEach)
	}
	if len(f.Lights) == 0 {
		v.text("value", atStart, point{flickerMargin, flickerTop + 30}, "no light of this cue is known to flicker")
	}
	v.text("small", atStart, point{flickerMargin, height - 12}, fmt.Sprintf("shaded: within %.0f %% of the mean, which is not seen", 100*f.Seen))
	return v.bytes()
}

func (f *Flicker) light(v *canvas, l *FlickerLight, top float64) {
	v.text("name", atStart, point{flickerMargin, top + 16}, shorten(l.Name, 22))
	v.text("small", atStart, point{flickerMargin, top + 34}, shorten(l.Verdict, 26))
	axis := "rows from top to bottom"
	if !l.Rows {
		axis = "frame after frame"
	}
	v.text("small", atStart, point{flickerLeft, top + flickerHigh + 16}, axis)
	span := flickerSpan
	for _, x := range l.Values {
		span = math.Max(span, math.Abs(x-1))
	}
	y := scale{1 - span, 1 + span, top + flickerHigh, top}
	v.rect("field", point{flickerLeft, top}, flickerRight-flickerLeft, flickerHigh)
	v.rect("band1", point{flickerLeft, y.at(1 + f.Seen)}, flickerRight-flickerLeft, y.at(1-f.Seen)-y.at(1+f.Seen))
	v.text("small", atEnd, point{flickerLeft - 8, top + 10}, fmt.Sprintf("+%.0f %%", 100*span))
	v.text("small", atEnd, point{flickerLeft - 8, top + flickerHigh}, fmt.Sprintf("-%.0f %%", 100*span))
	if len(l.Values) < 2 {
		return
	}
	x := scale{0, float64(len(l.Values) - 1), flickerLeft, flickerRight}
	each := flickerHigh / float64(len(l.Values))
	for i := range l.Values {
		if i > 0 {
			v.line("series", point{x.at(float64(i - 1)), y.at(l.Values[i-1])}, point{x.at(float64(i)), y.at(l.Values[i])})
		}
		// Mid-grey under this light, as sRGB: what the picture shows of a flat ground.
		grey := int(math.Round(255 * math.Pow(math.Max(0, math.Min(1, 0.2*l.Values[i])), 1/2.2)))
		v.putf(`<rect x="%s" y="%s" width="%s" height="%s" fill="#%02x%02x%02x"/>`+"\n",
			px(flickerRight+24), px(top+float64(i)*each), px(flickerHigh*1.5), px(each+0.3), grey, grey, grey)
	}
}

// describe is the picture in words.
func (f *Flicker) describe() string {
	text := "Exposure over the mean, light by light."
	for i := range f.Lights {
		l := &f.Lights[i]
		low, high := math.Inf(1), math.Inf(-1)
		for _, x := range l.Values {
			low, high = math.Min(low, x), math.Max(high, x)
		}
		text += fmt.Sprintf(" %s: %s", l.Name, l.Verdict)
		if len(l.Values) > 0 {
			text += fmt.Sprintf(", from %.1f %% to %.1f %% of the mean", 100*low, 100*high)
		}
		text += "."
	}
	return text
}
