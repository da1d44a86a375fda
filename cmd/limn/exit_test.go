package main

import (
	"slices"
	"testing"

	"limn/cue"
	"limn/dmx"
)

// record is an output that keeps slot 1 of what it is sent.
type record struct {
	dmx.Output
	sent []byte
}

func (r *record) Universes() []dmx.Universe { return []dmx.Universe{1} }

func (r *record) Send(frames []dmx.Frame) error {
	r.sent = append(r.sent, frames[0][0])
	return nil
}

func TestPartingPolicies(t *testing.T) {
	for _, c := range []struct {
		policy string
		want   []byte
	}{
		{cue.Leave, []byte{10, 20, 20, 20}},   // holds what was sent last
		{cue.FadeOut, []byte{10, 20, 30, 40}}, // follows the shoot, which goes dark
		{cue.GoDark, []byte{10, 20, 5, 5}},    // the dark frame's fixed value
	} {
		r := &record{}
		p := newParting(r, c.policy)
		frame := func(v byte) []dmx.Frame { return []dmx.Frame{{v}} }
		p.Send(frame(10))
		p.Send(frame(20))
		p.end([]dmx.Frame{{5}})
		p.Send(frame(30))
		p.Send(frame(40))
		if !slices.Equal(r.sent, c.want) {
			t.Errorf("%s: sent %v, want %v", c.policy, r.sent, c.want)
		}
	}
}
