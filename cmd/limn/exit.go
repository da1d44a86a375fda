package main

import (
	"sync/atomic"

	"limn/cue"
	"limn/dmx"
)

// parting is an output with its on-exit policy. Until the end it passes every
// frame on. Then leave goes on with the last one, dark turns to the dark
// frames, and fade keeps following the shoot, which is told to go dark. So
// outputs of different policies can end side by side.
type parting struct {
	dmx.Output
	policy string                      // cue.Leave, FadeOut or GoDark
	ending atomic.Pointer[[]dmx.Frame] // set once: dark frames, parallel to Universes
	last   []dmx.Frame                 // owned by the goroutine that sends
	sent   bool
}

func newParting(o dmx.Output, policy string) *parting {
	return &parting{Output: o, policy: policy, last: make([]dmx.Frame, len(o.Universes()))}
}

// end turns to the policy; dark are the frames without light.
func (p *parting) end(dark []dmx.Frame) { p.ending.Store(&dark) }

func (p *parting) Send(frames []dmx.Frame) error {
	dark := p.ending.Load()
	switch {
	case dark == nil || p.policy == cue.FadeOut:
		copy(p.last, frames)
		p.sent = true
	case p.policy == cue.GoDark:
		frames = *dark
	case p.sent:
		frames = p.last
	}
	return p.Output.Send(frames)
}
