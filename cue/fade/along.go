package fade

import "limn/fixtures/colour"

// Along is the light when the share u of the way is over and the share s of the
// luminance has changed, for those who have a curve of their own. Both run from
// 0 to 1; at the ends of u it is exact.
func (f *Fade) Along(u, s float64) colour.XYZ {
	return f.at(u, min(max(s, 0), 1))
}
