package main

import (
	"context"

	"limn/cmd/internal/dial"
	"limn/cue"
	"limn/cue/operate"
	"limn/dmx"
	"limn/dmx/pace"
)

// settleWithin is how long a cue may take on the virtual clock, in frames: a
// day. What moves still is drawn as it is by then.
const settleWithin = 24 * 60 * 60 * pace.Rate

// settled plays each of some cues on a virtual clock until its light has settled,
// what hands have to do taken as done, and gives what a screen would show. A
// sheet shows no more than its first, so no more are played.
func settled(ctx context.Context, shoot *cue.Shoot, cues []int) ([]*cue.Snapshot, error) {
	out := make([]*cue.Snapshot, len(cues))
	for n, i := range cues {
		out[n] = new(cue.Snapshot)
		if n >= dial.MaxSheet {
			continue
		}
		if ctx.Err() != nil {
			return nil, ended(ctx)
		}
		engine, err := operate.New(shoot, operate.Options{AutoConfirm: true})
		if err != nil {
			return nil, err
		}
		if reply := engine.DoAt(0, operate.Command{Verb: operate.Go, Name: shoot.Cues[i].Name}); reply.Refused {
			return nil, failuref(statusFailed, "", "%s", firstOf(reply.Notices))
		}
		frames := make([]dmx.Frame, len(engine.Universes()))
		for k, step := int64(0), int64(1); k < settleWithin; k, step = k+step, step*2 {
			engine.Fill(k, frames)
			if engine.Snapshot(out[n]); out[n].Motion == cue.Settled {
				break
			}
		}
		out[n].Notices = nil // of being gone to; nobody is there to hear them
	}
	return out, nil
}

func firstOf(texts []string) string {
	if len(texts) == 0 {
		return "the cue cannot be played"
	}
	return texts[0]
}
