package flash

import (
	"fmt"

	"limn/fixtures/colour"
)

// Detector counts the flashes of every source and of all together as frames pass. It remembers
// a bounded number of changes and allocates nothing after New. It is for one goroutine.
type Detector struct {
	rate    int64
	weights []float64
	sum     float64
	levels  []level // per source, the last of all together
	reds    []red
	last    int64
	begun   bool
}

// Together is the source of a Finding that is about all sources together.
const Together = -1

// Finding is what flashes too often.
type Finding struct {
	K      int64 // frame at which it was too much
	Source int   // or Together
	Red    bool  // by the red flash rule
	Found  bool
}

// New makes a detector for a grid of rate frames a second and sources that weigh so much when
// all are lit: the lux of each at its most. A weight that is no number above 0 counts as the least of
// the others, 1 if there is none.
func New(rate int, weights []float64) *Detector {
	d := &Detector{
		rate: int64(max(rate, 1)), weights: make([]float64, len(weights)),
		levels: make([]level, len(weights)+1), reds: make([]red, len(weights)+1),
	}
	least := 0.0
	for _, w := range weights {
		if w > 0 && w < 1e12 && (least == 0 || w < least) {
			least = w
		}
	}
	if least == 0 {
		least = 1
	}
	for i, w := range weights {
		if !(w > 0 && w < 1e12) {
			w = least
		}
		d.weights[i] = w
		d.sum += w
	}
	return d
}

// Add takes the light of frame k, one per source; frames come in rising order, and those left out
// are as the one before. It says whether something has changed too often in the second that
// ends with this frame.
func (d *Detector) Add(k int64, light []colour.XYZ) Finding {
	if d.begun && k <= d.last {
		return Finding{}
	}
	d.begun, d.last = true, k
	var found Finding
	var all colour.XYZ
	for i := range min(len(light), len(d.weights)) {
		d.one(k, i, light[i], &found)
		all = all.Add(light[i].Scale(d.weights[i]))
	}
	if d.sum > 0 {
		d.one(k, len(d.weights), all.Scale(1/d.sum), &found)
	}
	return found
}

// one judges one light; the first that is too much is told.
func (d *Detector) one(k int64, i int, c colour.XYZ, found *Finding) {
	if d.levels[i].add(k, c.Y, d.rate) && d.levels[i].within(k, d.rate) >= tooMany && !found.Found {
		*found = Finding{K: k, Source: i, Found: true}
	}
	if d.reds[i].add(k, see(c), d.rate) && d.reds[i].within(k, d.rate) >= tooMany && !found.Found {
		*found = Finding{K: k, Source: i, Red: true, Found: true}
	}
	if found.Found && found.Source == len(d.weights) {
		found.Source = Together
	}
}

// PerSecond is the most flashes any source, or all together, has had in the second that ends with frame k. It
// counts to three and a half, which is too many.
func (d *Detector) PerSecond(k int64) float64 {
	n := 0
	for i := range d.levels {
		n = max(n, d.levels[i].within(k, d.rate), d.reds[i].within(k, d.rate))
	}
	return float64(n) / 2
}

// Say is a finding in words; name is that of its source.
func (f Finding) Say(name string) string {
	what := name
	if f.Source == Together {
		what = "the whole set"
	}
	kind := ""
	if f.Red {
		kind = " in saturated red"
	}
	return fmt.Sprintf("%s flashes%s more than %d times a second", what, kind, MaxFlashes)
}
