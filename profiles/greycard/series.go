package greycard

import (
	"fmt"
	"math"
)

// Edges is where the card ends in a picture, in pixels to fractions: how a card or
// camera that moved shows.
type Edges struct {
	Left, Right, Top, Bottom float64
	Known                    bool
}

// moved is how far an edge may move between pictures, as a share of the card's size.
const moved = 0.02

// Edges looks outward from the middle of a region for where the light falls or rises
// by more than a half. Known is false where that does not show on all sides, or
// where the picture is too dark to tell.
func (p *Photo) Edges(t *Patch) (e Edges) {
	level := (t.Mean[0] + t.Mean[1] + t.Mean[2]) / 3
	if level < something {
		return e
	}
	cx, cy := t.X+t.Width/2, t.Y+t.Height/2
	left, ok1 := p.edge(cx, cy, -1, 0, t, level)
	right, ok2 := p.edge(cx, cy, 1, 0, t, level)
	top, ok3 := p.edge(cx, cy, 0, -1, t, level)
	bottom, ok4 := p.edge(cx, cy, 0, 1, t, level)
	return Edges{left, right, top, bottom, ok1 && ok2 && ok3 && ok4}
}

// edge walks from a point until the light leaves half to one and a half of a level,
// averaged over some pixels across the way.
func (p *Photo) edge(x, y, dx, dy int, t *Patch, level float64) (float64, bool) {
	const across = 15
	buf := make([][3]float64, across)
	before := level
	for step := 1; ; step++ {
		px, py := x+dx*step, y+dy*step
		sum := 0.0
		if dx != 0 {
			if px < 0 || px >= p.Width || py-across/2 < 0 || py+across/2 >= p.Height {
				return 0, false
			}
			for k := range across {
				p.row(py-across/2+k, px, px+1, buf)
				sum += (buf[0][0] + buf[0][1] + buf[0][2]) / 3
			}
		} else {
			if py < 0 || py >= p.Height || px-across/2 < 0 || px+across/2 >= p.Width {
				return 0, false
			}
			p.row(py, px-across/2, px-across/2+across, buf)
			for _, v := range buf {
				sum += (v[0] + v[1] + v[2]) / 3
			}
		}
		v := sum / across
		if v < level/2 || v > level*1.5 {
			limit := level / 2
			if v > level {
				limit = level * 1.5
			}
			part := 0.5
			if before != v {
				part = (before - limit) / (before - v)
			}
			at := float64(step-1) + part
			if dx != 0 {
				return float64(x) + float64(dx)*at, true
			}
			return float64(y) + float64(dy)*at, true
		}
		before = v
	}
}

// Member is one picture of a series with what was found in it.
type Member struct {
	Path     string
	Settings Settings
	Edges    Edges
	Rough    bool
	Size     [2]int
	Dark     bool
}

// Of is the picture as a member of a series.
func (p *Photo) Of(t *Patch, dark bool) Member {
	m := Member{Path: p.Path, Settings: p.Settings, Rough: p.Rough, Size: [2]int{p.Width, p.Height}, Dark: dark}
	if !dark {
		m.Edges = p.Edges(t)
	}
	return m
}

// Compare says what is wrong with a series of pictures of one card: what moved, an
// exposure that nobody knows, a white that the camera chose anew each time.
func Compare(series []Member) (fs []Finding) {
	add := func(m *Member, fault bool, cure, format string, args ...any) {
		fs = append(fs, Finding{m.Path, fault, fmt.Sprintf(format, args...), cure})
	}
	var first *Member
	told, untold := 0, 0
	auto := false
	for i := range series {
		m := &series[i]
		if m.Settings.Known() {
			told++
		} else {
			untold++
		}
		if m.Settings.AutoWhite && m.Rough && !auto {
			auto = true
			add(m, true, "set one white balance on the camera, for example 5600 K, and take the series again; raw files are not touched by it",
				"the camera chose its white balance by itself, picture by picture")
		}
		if m.Size != series[0].Size {
			add(m, true, "take the whole series with one camera in one position and size", "it has %d x %d pixels, %s has %d x %d", m.Size[0], m.Size[1], series[0].Path, series[0].Size[0], series[0].Size[1])
		}
		if !m.Edges.Known {
			continue
		}
		if first == nil {
			first = m
			continue
		}
		wide, high := first.Edges.Right-first.Edges.Left, first.Edges.Bottom-first.Edges.Top
		shift := max(math.Abs(m.Edges.Left-first.Edges.Left)/wide, math.Abs(m.Edges.Right-first.Edges.Right)/wide,
			math.Abs(m.Edges.Top-first.Edges.Top)/high, math.Abs(m.Edges.Bottom-first.Edges.Bottom)/high)
		if shift > moved {
			add(m, true, "put it back on its mark, tighten the tripod, and take this picture and those after it again",
				"the card lies elsewhere than in %s, by %.0f %% of its size: card or camera was moved", first.Path, 100*shift)
		}
	}
	for i := range series {
		if m := &series[i]; untold > 0 && told > 0 && !m.Settings.Known() {
			add(m, true, "say it by hand, as shutter = \"1/50 s\" and iso = 400, or give the file as the camera wrote it", "it does not tell its exposure, and others do")
		}
	}
	if untold == len(series) && len(series) > 0 {
		add(&series[0], false, "they count as taken with one exposure; if not, say each by hand", "no picture tells its exposure")
	}
	return fs
}
