package measure

import (
	"math"

	"limn/fixtures"
	"limn/fixtures/fit"
)

// Limits of drift.
const (
	// steady is the most a light may change between its last two references: the
	// half per cent of a laboratory's stability test (IES LM-79, from memory).
	steady = 0.005
	// muchDrift is what no warming light does (common practice: 3 to 10 %): the
	// meter or a lamp was moved.
	muchDrift = 0.25
	// coldStart is how soon after switching on a first reference tells the warm-up.
	coldStart = 3 * 60 // seconds
)

// withoutDrift brings every reading to what the light gives at the last reference,
// when it is warmest, and tells how it warmed up. Between references the light is
// taken to change in a straight line: in time where times are told, else in the order
// of the readings.
func (r *Result) withoutDrift(readings []Reading, fs *findings) []Reading {
	timed := true
	var refs []int
	for i := range readings {
		timed = timed && !math.IsNaN(readings[i].After)
		if readings[i].Control == Whole && readings[i].Lux > 0 {
			refs = append(refs, i)
		}
	}
	if len(refs) < 2 {
		return readings
	}
	when := func(i int) float64 {
		if timed {
			return readings[i].After
		}
		return float64(i)
	}
	first, last := &readings[refs[0]], &readings[refs[len(refs)-1]]
	r.Drift = last.Lux/first.Lux - 1
	if math.Abs(r.Drift) > muchDrift {
		fs.fault(last.Origin, "put meter or card back on its mark and the light back in its place, and read this light anew",
			"%s: the whole light reads %.4g lx at first and %.4g lx in the end, more than warming up explains", r.Source, first.Lux, last.Lux)
		return readings
	}
	before := &readings[refs[len(refs)-2]]
	if change := math.Abs(last.Lux/before.Lux - 1); change > steady {
		cure := "let it warm up for half an hour, then read it anew"
		if wait := settleTime(readings, refs); timed && wait > 0 {
			cure = "wait another " + minutes(wait) + ", then read it anew"
		}
		fs.warn(last.Origin, cure, "%s: between the last two references it still changed by %.2g %%; that is made up for, as far as a straight line goes", r.Source, 100*change)
	}
	if timed && first.After <= coldStart {
		for _, i := range refs[1:] {
			loss := 1 - readings[i].Lux/first.Lux
			n := len(r.Calibration.WarmUp)
			if loss > 0 && (n == 0 || readings[i].After > r.Calibration.WarmUp[n-1].After) {
				r.Calibration.WarmUp = append(r.Calibration.WarmUp, fixtures.WarmUp{After: readings[i].After - first.After, Loss: loss})
			}
		}
	}
	out := append([]Reading(nil), readings...)
	k := 0
	for i := range out {
		for k+2 < len(refs) && i > refs[k+1] {
			k++
		}
		a, b := refs[k], refs[k+1]
		t := min(max(when(i), when(a)), when(b))
		undrifted := fit.Undrift(readings[i].Lux, t, when(a), readings[a].Lux, when(b), readings[b].Lux)
		out[i].Lux = undrifted * last.Lux / readings[a].Lux
	}
	return out
}

// settleTime fits a warm-up to the references and says how long until what the light
// will still lose is no more than steady; 0 = cannot be told.
func settleTime(readings []Reading, refs []int) float64 {
	if len(refs) < 3 {
		return 0
	}
	now := readings[refs[len(refs)-1]].After
	best, wait := math.Inf(1), 0.0
	for minute := 2.0; minute <= 30; minute++ { // time constants that panels have, and some to spare
		tau := 60 * minute
		// level = a - b(1-e^(-t/τ)): a straight line in w = 1-e^(-t/τ).
		var n, sw, sy, sww, swy float64
		for _, i := range refs {
			w := 1 - math.Exp(-readings[i].After/tau)
			y := readings[i].Lux
			n, sw, sy, sww, swy = n+1, sw+w, sy+y, sww+w*w, swy+w*y
		}
		det := n*sww - sw*sw
		if det <= 0 {
			continue
		}
		slope := (n*swy - sw*sy) / det
		start := (sy - slope*sw) / n
		left := 0.0
		for _, i := range refs {
			d := readings[i].Lux - start - slope*(1-math.Exp(-readings[i].After/tau))
			left += d * d
		}
		if drop := -slope / start; left < best && start > 0 && drop > 0 && drop < 1 {
			best = left
			_, until := fit.WarmUp(drop, tau, now, steady)
			wait = max(until-now, 0)
		}
	}
	return wait
}
