package greycard

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Region is a part of a picture, in pixels from its top left.
type Region struct{ X, Y, Width, Height int }

// MinRegion is the least side of a region: 100 x 100 pixels make shot noise
// negligible.
const MinRegion = 100

func (r Region) String() string { return fmt.Sprintf("%dx%d+%d+%d", r.Width, r.Height, r.X, r.Y) }

// ParseRegion reads a region as it prints: width x height + left + top.
func ParseRegion(text string) (Region, error) {
	fail := fmt.Errorf("%q is no part of a picture; write width, height, left and top in pixels, as 400x300+1200+800", text)
	size, place, ok := strings.Cut(text, "+")
	w, h, ok1 := strings.Cut(size, "x")
	x, y, ok2 := strings.Cut(place, "+")
	if !ok || !ok1 || !ok2 {
		return Region{}, fail
	}
	var r Region
	for _, n := range []struct {
		text string
		to   *int
	}{{w, &r.Width}, {h, &r.Height}, {x, &r.X}, {y, &r.Y}} {
		v, err := strconv.Atoi(n.text)
		if err != nil || v < 0 || v > MaxPixels {
			return Region{}, fail
		}
		*n.to = v
	}
	if r.Width < MinRegion || r.Height < MinRegion {
		return Region{}, fmt.Errorf("a region of %d x %d pixels is too small; give at least %d x %d", r.Width, r.Height, MinRegion, MinRegion)
	}
	return r, nil
}

// in says whether a region lies in a picture.
func (r Region) in(p *Photo) bool {
	return r.X >= 0 && r.Y >= 0 && r.Width > 0 && r.Height > 0 && r.X+r.Width <= p.Width && r.Y+r.Height <= p.Height
}

// inner is the middle part of a region, clear of its edges.
func (r Region) inner(share float64) Region {
	dx, dy := int(float64(r.Width)*(1-share)/2), int(float64(r.Height)*(1-share)/2)
	return Region{r.X + dx, r.Y + dy, r.Width - 2*dx, r.Height - 2*dy}
}

const (
	tilesAcross = 48 // of the grid that is searched for the card
	// evenTile is how much of its level a tile of a card may vary, noise and slope
	// of the light together; the rims of things vary by more.
	evenTile = 0.12
	// evenCard is how far tiles of one card may lie from each other.
	evenCard = 0.25
	// something is the least level of the brightest part of a picture that can be told
	// from nothing: 10 bits down.
	something = 1.0 / 1024
	clear     = 0.7 // share of the found card that is measured, clear of its edges
)

// Find finds the card: the largest even, bright rectangle of the picture, without its
// edges. The error is an *Error where there is none.
func (p *Photo) Find() (Region, error) {
	side := max(p.Width/tilesAcross, p.Height/tilesAcross, 8)
	nx, ny := p.Width/side, p.Height/side
	level, vary := make([]float64, nx*ny), make([]float64, nx*ny)
	buf := make([][3]float64, side)
	brightest := 0.0
	for ty := range ny {
		for tx := range nx {
			sum, sq, n := 0.0, 0.0, 0.0
			for y := ty * side; y < (ty+1)*side; y += 2 {
				p.row(y, tx*side, (tx+1)*side, buf)
				for x := 0; x < side; x += 2 {
					v := (buf[x][0] + buf[x][1] + buf[x][2]) / 3
					sum, sq, n = sum+v, sq+v*v, n+1
				}
			}
			m := sum / n
			level[ty*nx+tx] = m
			vary[ty*nx+tx] = math.Sqrt(max(0, sq/n-m*m)) / max(m, 1e-9)
			brightest = max(brightest, m)
		}
	}
	if brightest < something {
		return Region{}, &Error{p.Path, fmt.Sprintf("nothing is to be seen in it: the brightest part is %.2g %% of full", 100*brightest), "see that the light was on and the cap off, or expose longer"}
	}
	var best Region
	// A card may be darker than what shines beside it, so every level is tried, from
	// the brightest down to an eighth.
	for k := range 10 {
		top := brightest * math.Pow(0.8, float64(k))
		ok := make([]bool, nx*ny)
		for i := range ok {
			ok[i] = level[i] <= top*1.001 && level[i] >= top*(1-evenCard) && vary[i] <= evenTile
		}
		if r := largest(ok, nx, ny); r.Width*r.Height > best.Width*best.Height {
			best = r
		}
	}
	found := Region{best.X * side, best.Y * side, best.Width * side, best.Height * side}
	if c := found.inner(clear); c.Width >= MinRegion && c.Height >= MinRegion {
		return c, nil
	}
	return Region{}, &Error{p.Path, "no even part is large enough for a grey card", "move the card nearer, light it evenly, or say where it is, as --region 400x300+1200+800"}
}

// largest is the largest rectangle of tiles that are all right.
func largest(ok []bool, nx, ny int) (best Region) {
	height := make([]int, nx)
	for y := range ny {
		for x := range nx {
			if ok[y*nx+x] {
				height[x]++
			} else {
				height[x] = 0
			}
		}
		for x := range nx {
			low := height[x]
			for x0 := x; x0 >= 0 && height[x0] > 0; x0-- {
				low = min(low, height[x0])
				if w := x - x0 + 1; w*low > best.Width*best.Height {
					best = Region{x0, y - low + 1, w, low}
				}
			}
		}
	}
	return best
}
