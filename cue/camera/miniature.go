package camera

import "math"

// View is a camera at its place: all a look depends on.
type View struct {
	Focal    float64 // mm
	N        float64 // marked f-number
	Distance float64 // mm from the entrance pupil to the focus plane
	Width    float64 // of the sensor, mm
}

// Equivalent is how a miniature must be shot to look like a full-size view.
type Equivalent struct {
	Magnification float64
	Focal         float64 // mm; a little shorter for the same field at close focus
	Pupil         float64 // entrance pupil, mm: that of the full size over the scale
	Effective     float64 // f-number
	Marked        float64 // f-number
	Stops         float64 // more light than the full size at the same time and ISO
	AiryOverBlur  float64 // diffraction against the blur allowed on that sensor
}

// Miniature gives the settings that show a model at 1:scale as the full-size
// view shows its original, seen from the scaled distance, on a sensor of the
// given width. All blur is alike if and only if the entrance pupil is scaled as
// everything else is: N_eff' = s·N_eff·(w'/w), exact at every depth. blur is
// what is allowed on the full-size sensor; it scales with the sensor.
func Miniature(full View, scale, width, blur, wavelength float64) Equivalent {
	m := Magnification(full.Focal, full.Distance)
	effective, _ := Effective(full.N, m, 1)
	e := Equivalent{Magnification: scale * m * width / full.Width, Pupil: full.Focal / full.N / scale}
	u := full.Distance / scale
	e.Focal = u * e.Magnification / (1 + e.Magnification)
	e.Effective = e.Magnification * u / e.Pupil
	e.Marked = Marked(e.Effective, e.Magnification, 1)
	e.Stops = 2 * math.Log2(e.Effective/effective)
	e.AiryOverBlur = Airy(wavelength, e.Effective) / (blur * width / full.Width)
	return e
}

// FullSizeLook is the effective f-number whose look at full size a miniature
// frame has: N_eff'·w/(s·w').
func FullSizeLook(effective, scale, fullWidth, width float64) float64 {
	return effective * fullWidth / (scale * width)
}

// Stack is a series of frames, each focused a little further.
type Stack struct {
	Depth  float64 // of each frame: mm in the subject, or on the image side
	Step   float64 // mm
	Frames int
}

// PlanStack is the simple plan at one magnification: a step of the depth of
// field less the overlap, 1 + ceil((depth-DOF)/step) frames. It counts too few
// where the depth is a large part of the distance: use FocusStack there.
func PlanStack(n, c, m, p, overlap, depth float64) Stack {
	s := Stack{Depth: CloseDepth(n, c, m, p)}
	s.Step = s.Depth * (1 - overlap)
	s.Frames = frames(depth, s.Depth, s.Step)
	return s
}

// ImageStack plans a stack on the image side, where slices are alike: a slice is
// 2·c·N_eff at the middle of the spread.
func ImageStack(f, n, c, near, far, overlap float64) (spread float64, s Stack) {
	spread = Spread(f, near, far)
	v := f + (f*f/(near-f)+f*f/(far-f))/2
	s.Depth = 2 * c * n * v / f
	s.Step = s.Depth * (1 - overlap)
	s.Frames = frames(spread, s.Depth, s.Step)
	return spread, s
}

// frames is how many slices cover a depth; 0 where there is no telling.
func frames(depth, slice, step float64) int {
	n := math.Ceil((depth - slice) / step)
	switch {
	case !(step > 0) || !(depth > 0) || n > MaxFrames:
		return 0
	case n < 0:
		return 1
	}
	return 1 + int(n)
}

// MaxFrames is the most frames of a stack that are planned.
const MaxFrames = 10_000

// FocusStack marches through a subject from near to far: the focus distances of
// the frames, mm from the entrance pupil, each sharp where the one before ends
// less the overlap. It is exact for a thin lens; nil where one frame can never
// reach, or more than MaxFrames would be needed.
func FocusStack(f, n, c, near, far, overlap float64) []float64 {
	g := c * n / (f * f)
	if !(near > f) || !(far >= near) || !(g > 0) || !(overlap >= 0 && overlap < 1) {
		return nil
	}
	var at []float64
	for x := near; ; {
		if 1-g*x <= 0 { // beyond the hyperfocal distance: one more sees everything
			return append(at, Hyperfocal(f, n, c))
		}
		u := x * (1 - g*f) / (1 - g*x)
		at = append(at, u)
		k := g * (u - f)
		if k >= 1 || u/(1-k) >= far {
			return at
		}
		if len(at) == MaxFrames {
			return nil
		}
		end := u / (1 - k)
		x = end - overlap*(end-x)
	}
}
