package dial

// Theme is what a picture is dressed for.
type Theme string

// The themes.
const (
	Dark  Theme = "dark"  // a screen in a dark room
	Ink   Theme = "ink"   // paper
	Amber Theme = "amber" // a screen that spares eyes used to the dark
)

// Themes lists the themes.
func Themes() []Theme { return []Theme{Dark, Ink, Amber} }

// Frame is what stands still in the plan.
type Frame string

// The frames.
const (
	Camera Frame = "camera" // the room, with the camera below; the hull turns
	Boat   Frame = "boat"   // the hull, with its bow up; the room turns
)

// Part is how much of the picture is drawn.
type Part string

// The parts.
const (
	Whole Part = "whole"
	Plan  Part = "plan" // the dial alone, for a page with rulers of its own
)

// Options of a picture. The zero Options are the whole picture, dark, with the
// camera below.
type Options struct {
	Theme Theme
	Frame Frame
	Part  Part

	// Width in pixels; 0 = [WideWidth]. Below [NarrowBelow] everything stands in
	// one column.
	Width int

	// ID begins every id in the picture, so that several can stand in one page;
	// "" = "dial".
	ID string
}

const (
	// NarrowBelow is the width below which a picture has one column.
	NarrowBelow = 700
	// WideWidth and NarrowWidth are the widths that the two layouts are drawn
	// for; others are scaled.
	WideWidth   = 1200
	NarrowWidth = 420
	// MinWidth and MaxWidth bound the width.
	MinWidth = 120
	MaxWidth = 20_000
)

// filled is the options with what was left out.
func (o Options) filled() Options {
	if o.Width == 0 {
		o.Width = WideWidth
	}
	o.Width = min(max(o.Width, MinWidth), MaxWidth)
	if o.ID == "" {
		o.ID = "dial"
	}
	return o
}

func (o *Options) narrow() bool { return o.Width < NarrowBelow }
