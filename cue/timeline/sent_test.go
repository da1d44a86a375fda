package timeline

import (
	"slices"
	"testing"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"

	"pgregory.net/rapid"
)

// As it was sent, a cue gives the very slots of then, whatever the solver would
// make of the light today; raised, or trimmed, it is today's again.
func TestAsSent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := written[0]()
		sent := &Sent{Slots: map[int][fixtures.UniverseSize]byte{}}
		now := s.frames()
		state := &fixtures.State{Light: make([]colour.XYZ, len(s.shoot.Rig.Sources))}
		s.renderer.Render(state, now) // the slots that always hold a value
		for n, u := range s.renderer.Universes() {
			for i := range s.shoot.Rig.Sources {
				src := &s.shoot.Rig.Sources[i]
				if src.Universe != u || src.Hand {
					continue
				}
				for slot := range src.Profile.Footprint() {
					at := src.Addresses[0] - 1 + slot
					if u != 1 || at != fixedAt-1 {
						now[n][at] = byte(rapid.IntRange(0, 255).Draw(t, "slot"))
					}
				}
			}
			sent.Slots[u] = now[n]
		}
		p := s.player()
		p.Go(0, 1)
		p.Set(50, with(p, func(l *Layers) { l.Sent = map[int]*Sent{1: sent} }), Timing{Fade: 1})
		got, st := s.render(p, settleRapid(t, p, 50))
		if !slices.Equal(got, now) {
			t.Fatalf("the slots are not those that were sent")
		}
		if st.SettledAt > 50+Rate+sentHandOver+Rate {
			t.Fatalf("they are there only at frame %d", st.SettledAt)
		}
		p.Set(900, p.Layers().WithTrims(map[int]cue.Entry{sky: lit("20 %", "")}), Timing{Fade: 0.2})
		want := s.player()
		want.Go(0, 1)
		want.Set(0, want.Layers().WithTrims(map[int]cue.Entry{sky: lit("20 %", "")}), Timing{})
		today, _ := s.render(want, settleRapid(t, want, 0))
		got, _ = s.render(p, settleRapid(t, p, 900))
		if !slices.Equal(got[0][:4], today[0][:4]) || !slices.Equal(got[1][:], now[1][:]) {
			t.Fatal("a trim over it plays something else")
		}
	})
}
