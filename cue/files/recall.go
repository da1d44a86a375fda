package files

import (
	"fmt"
	"math"
	"time"

	"limn/cue"
	"limn/fixtures"
)

// warmEnough is how near its last measured loss a light must be to count as warm:
// a hundredth of its light, a seventieth of a stop.
const warmEnough = 0.01

// Check is one line of the checklist for coming back to a cue.
type Check struct {
	Text string
	Done bool // there is nothing to be done about it
}

// Recall is what to look at before a cue is taken again: where cards and moved
// sources stand, the camera, how the light differs from what was approved (a may be
// nil), and how long each lit source has burned against its warm-up. lit is by
// source; what it does not have was not switched on yet.
func Recall(shoot *cue.Shoot, res *cue.Resolved, a *Approval, lit map[int]time.Duration, r *fixtures.Renderer) []Check {
	var out []Check
	for _, p := range res.Cards {
		name := shoot.Cards[p.Card].Name
		if p.Out {
			out = append(out, Check{Text: "card " + name + ": away"})
			continue
		}
		out = append(out, Check{Text: fmt.Sprintf("card %s: %s", name, approvedPlace(p.Place, p.Mark))})
	}
	for _, p := range res.Places {
		out = append(out, Check{Text: fmt.Sprintf("%s: moved to %s", shoot.Rig.Sources[p.Source].Name, approvedPlace(p.Place, p.Mark))})
	}
	for _, s := range cameraSettings(shoot, res) {
		out = append(out, Check{Text: "camera: " + s.Name + " " + s.Value})
	}
	for i := range shoot.Rig.Sources {
		if res.Light[i].Asked.Y > 0 {
			out = append(out, warmth(&shoot.Rig.Sources[i], lit[i]))
		}
	}
	if a == nil {
		return out
	}
	for _, d := range a.Compare(shoot, res, r) {
		out = append(out, Check{Text: d.Text})
	}
	return out
}

// warmth says how long a source has been lit against its warm-up.
func warmth(src *fixtures.Source, lit time.Duration) Check {
	minutes := math.Floor(lit.Minutes())
	need, known := warmUp(src)
	switch {
	case !known:
		return Check{Text: fmt.Sprintf("%s: lit %.0f min; its warm-up was not measured", src.Name, minutes)}
	case lit.Seconds() >= need:
		return Check{Text: fmt.Sprintf("%s: lit %.0f min, warm", src.Name, minutes), Done: true}
	}
	return Check{Text: fmt.Sprintf("%s: lit %.0f of %.0f min of its warm-up", src.Name, minutes, math.Ceil(need/60))}
}

// warmUp is how many seconds after it was switched on a light has settled.
func warmUp(src *fixtures.Source) (seconds float64, known bool) {
	if src.Calibration == nil || len(src.Calibration.WarmUp) == 0 {
		return 0, false
	}
	rows := src.Calibration.WarmUp
	last := rows[len(rows)-1].Loss
	for i := len(rows) - 1; i >= 0; i-- {
		if math.Abs(rows[i].Loss-last) > warmEnough {
			return rows[i+1].After, true
		}
	}
	return rows[0].After, true
}
