package cue_test

import (
	"math"
	"testing"

	"limn/cue"
	"limn/fixtures"
)

// Where the kept tick stands, by the ways in which a level may be written.
func TestGauge(t *testing.T) {
	nan, off := math.NaN(), math.Inf(-1)
	for _, c := range []struct {
		what string
		src  cue.SourceSnapshot
		want cue.Gauge
	}{
		{"against the key", cue.SourceSnapshot{KeyStops: -1, Headroom: 2, Level: "key -1 stop", KeptLevel: "key -1 1/3 stops", Trimmed: true}, cue.Gauge{-1, -4.0 / 3, 1}},
		{"in percent", cue.SourceSnapshot{KeyStops: 0, Headroom: 1, Level: "50 %", KeptLevel: "25 %", Trimmed: true}, cue.Gauge{0, -1, 1}},
		{"below full", cue.SourceSnapshot{KeyStops: -2, Headroom: 1.5, Level: "-1.5 stops", KeptLevel: "-1 stop", Trimmed: true}, cue.Gauge{-2, -1.5, -0.5}},
		{"off", cue.SourceSnapshot{KeyStops: -3, Headroom: 3, Level: "key -3 stops", KeptLevel: "off", Trimmed: true}, cue.Gauge{-3, off, 0}},
		{"switched off", cue.SourceSnapshot{KeyStops: off, Headroom: nan, Level: "off", KeptLevel: "key -3 stops", Trimmed: true}, cue.Gauge{off, -3, nan}},
		{"of another colour", cue.SourceSnapshot{KeyStops: 0, Headroom: 1, Level: "50 %", KeptLevel: "25 %", Colour: "3200 K", KeptColour: "white", Trimmed: true}, cue.Gauge{0, nan, 1}},
		{"in other units", cue.SourceSnapshot{KeyStops: 0, Headroom: 1, Level: "50 %", KeptLevel: "-1 stop", Trimmed: true}, cue.Gauge{0, nan, 1}},
		{"a ramp", cue.SourceSnapshot{KeyStops: 0, Headroom: 1, Level: "10 % to 20 %", KeptLevel: "10 % to 30 %", Trimmed: true}, cue.Gauge{0, nan, 1}},
		{"nothing yet", cue.SourceSnapshot{KeyStops: nan, Headroom: nan}, cue.Gauge{nan, nan, nan}},
	} {
		s := &cue.Shoot{Rig: &fixtures.Rig{Sources: make([]fixtures.Source, 1)}}
		got := s.Gauge(&cue.Snapshot{Cue: -1, Motion: cue.Settled, Sources: []cue.SourceSnapshot{c.src}}, 0)
		if !alike(got.Now, c.want.Now) || !alike(got.Kept, c.want.Kept) || !alike(got.Most, c.want.Most) {
			t.Errorf("%s: %+v, not %+v", c.what, got, c.want)
		}
	}
}

// Where nothing is laid over a cue, the tick stands where the cue resolved to: a
// fade runs toward it.
func TestGaugeInAFade(t *testing.T) {
	s := &cue.Shoot{
		Rig:      &fixtures.Rig{Sources: make([]fixtures.Source, 1)},
		Resolved: []cue.Resolved{{Light: []cue.Light{{KeyStops: -2}}}},
	}
	src := cue.SourceSnapshot{KeyStops: -5, Headroom: 4, Level: "40 %", KeptLevel: "40 %"}
	if got := s.Gauge(&cue.Snapshot{Motion: cue.Fading, Sources: []cue.SourceSnapshot{src}}, 0); got.Kept != -2 || got.Now != -5 {
		t.Errorf("%+v", got)
	}
}

func alike(a, b float64) bool {
	return a == b || math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) < 1e-9
}
