package timeline

import (
	"slices"
	"testing"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/mix"
)

// readAnew is the shoot of a set, read anew with changes.
func readAnew(t *testing.T, s *set, change func(*cue.Shoot)) (*cue.Shoot, *fixtures.Renderer) {
	t.Helper()
	shoot := *s.shoot
	r := *s.shoot.Rig
	r.Sources = slices.Clone(r.Sources)
	for i := range r.Sources {
		if p := r.Sources[i].Profile; p != nil {
			own := *p
			own.Emitters, own.Slots = slices.Clone(p.Emitters), slices.Clone(p.Slots)
			r.Sources[i].Profile = &own
		}
	}
	shoot.Rig = &r
	shoot.Cues, shoot.Looks = slices.Clone(shoot.Cues), slices.Clone(shoot.Looks)
	change(&shoot)
	renderer, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range shoot.Resolve(renderer) {
		if !f.Warning {
			t.Fatal(f)
		}
	}
	return &shoot, renderer
}

// A good change fades in on the running cue, its trims and looks kept; a shoot read
// anew without change moves nothing at all.
func TestReload(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 1)
	p.Set(k, p.Layers().WithTrims(map[int]cue.Entry{fine: lit("70 lx", "")}).WithLook(0, true), Timing{Fade: 1})
	k = settle(t, p, k)
	was, _ := s.render(p, k)

	same, r := readAnew(t, s, func(*cue.Shoot) {})
	q := p.Clone()
	says(t, q.Reload(k, same, r), false, "")
	for f := k; f < k+200; f++ {
		if now, st := s.render(q, f); !slices.Equal(now, was) || st.Motion != cue.Settled {
			t.Fatalf("frame %d: an unchanged shoot moves the light (%+v)", f, st)
		}
	}

	changed, r := readAnew(t, s, func(shoot *cue.Shoot) {
		shoot.Cues = append([]cue.Cue{{Name: "first"}}, shoot.Cues...)
		shoot.Cues[2].Light = map[int]cue.Entry{stroke: lit("60 %", "4300 K"), fine: lit("5 %", "")}
		shoot.Looks = append([]cue.Look{{Name: "new"}}, shoot.Looks...)
	})
	q = p.Clone()
	says(t, q.Reload(k, changed, r), false, "")
	before, _ := pictureOf(p, k)
	now, _ := pictureOf(q, k)
	if !slices.Equal(before.Light, now.Light) {
		t.Error("the light jumps")
	}
	l := q.Layers()
	if l.Cue != 2 || !slices.Equal(l.Looks, []int{1}) || len(l.Trims[2]) != 1 || len(q.Prompts()) > 0 {
		t.Errorf("layers are %+v, prompts %q", l, q.Prompts())
	}
	now, _ = pictureOf(q, k+44)
	want, _ := changed.Compose(r, 2, l.Over())
	if now.Light[stroke] != want.Light[stroke].Asked || want.Light[fine].Level != "70 lx" || now.Light[fine] != want.Light[fine].Asked {
		t.Errorf("a second later stroke is at %v, want %v", now.Light[stroke], want.Light[stroke].Asked)
	}
}

// A cue that is gone leaves its light, and stepping goes on from where it was.
func TestReloadWithoutThePresentCue(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 1)
	p.Set(k, p.Layers().WithTrims(map[int]cue.Entry{fine: lit("70 lx", "")}), Timing{})
	k = settle(t, p, k)
	was, _ := s.render(p, k)
	renamed, r := readAnew(t, s, func(shoot *cue.Shoot) { shoot.Cues[1].Name = "abeam" })
	says(t, p.Reload(k, renamed, r), false, `"beam" is no longer in the files`)
	for f := k; f < k+100; f += 9 {
		if now, st := s.render(p, f); !slices.Equal(now, was) || st.Cue != -1 {
			t.Fatalf("frame %d: the light moves (%+v)", f, st)
		}
	}
	if p.Scene() == nil || p.Scene().Name != "beam" {
		t.Errorf("the scene is %v", p.Scene())
	}
	// The level of the whole set works on it, and comes back.
	p.Set(k+100, with(p, func(l *Layers) { l.Whole = -1 }), Timing{})
	p.Set(k+200, with(p, func(l *Layers) { l.Whole = 0 }), Timing{})
	if now, _ := s.render(p, settle(t, p, k+200)); !slices.Equal(now, was) {
		t.Error("down and up again it gives other bytes")
	}
	again := p.Clone()
	same, r := readAnew(t, s, func(shoot *cue.Shoot) { shoot.Cues[1].Name = "abeam" })
	again.Reload(k+600, same, r)
	if now, _ := s.render(again, k+700); !slices.Equal(now, was) {
		t.Error("read anew once more it gives other bytes")
	}
	back := p.Clone()
	p.Next(k + 800)
	back.Back(k + 800)
	if p.Cue() != 2 || back.Cue() != 0 {
		t.Errorf("next is cue %d, back %d", p.Cue(), back.Cue())
	}
}

// A light calibrated otherwise starts from what its slots mean now: the slots do
// not jump, and it comes to the light it was asked.
func TestReloadOfAnotherMake(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 0)
	was, _ := s.render(p, k)
	changed, r := readAnew(t, s, func(shoot *cue.Shoot) {
		shoot.Rig.Sources[fine].Profile.Emitters[0].Flux *= 1.2
		shoot.Rig.Sources[horizon].Profile.Slots[0].Response = mix.Square()
		shoot.Rig.Sources = append(shoot.Rig.Sources, fixtures.Source{Name: "new", Hand: true})
	})
	p.Reload(k, changed, r)
	state, _ := pictureOf(p, k)
	frames := make([][fixtures.UniverseSize]byte, len(r.Universes()))
	r.Render(state, frames)
	if !slices.Equal(frames, was) {
		t.Error("the slots jump")
	}
	end := settle(t, p, k)
	state, _ = pictureOf(p, end)
	for _, i := range []int{fine, horizon} {
		if state.Light[i] != changed.Resolved[0].Light[i].Asked {
			t.Errorf("source %d comes to %v", i, state.Light[i])
		}
	}
}

// Held light stays held over a reload.
func TestReloadOnHold(t *testing.T) {
	s := written[0]()
	p, k := called(t, s, 0)
	p.Go(k, 1)
	p.Hold(k + 10)
	was, _ := pictureOf(p, k+10)
	same, r := readAnew(t, s, func(shoot *cue.Shoot) {
		shoot.Cues[1].Light = map[int]cue.Entry{stroke: lit("60 %", "4300 K")}
	})
	p.Reload(k+50, same, r)
	now, st := pictureOf(p, k+80)
	if st.Motion != cue.Held || !slices.Equal(was.Light, now.Light) {
		t.Errorf("%+v: the light is %v, held was %v", st, now.Light, was.Light)
	}
}

// Sources, cues and looks in another order are the same by name: nothing moves,
// whatever is laid over the cue.
func TestReloadInAnotherOrder(t *testing.T) {
	s := written[0]()
	n := len(s.shoot.Rig.Sources)
	flipped := func(light map[int]cue.Entry) map[int]cue.Entry {
		out := map[int]cue.Entry{}
		for i, e := range light {
			out[n-1-i] = e
		}
		return out
	}
	other, r := readAnew(t, s, func(shoot *cue.Shoot) {
		slices.Reverse(shoot.Rig.Sources)
		slices.Reverse(shoot.Cues)
		slices.Reverse(shoot.Looks)
		for i := range shoot.Cues {
			c := &shoot.Cues[i]
			c.Light = flipped(c.Light)
			c.Exceptions = slices.Clone(c.Exceptions)
			for k := range c.Exceptions {
				c.Exceptions[k].Light = flipped(c.Exceptions[k].Light)
			}
		}
		for i := range shoot.Looks {
			shoot.Looks[i].Light = flipped(shoot.Looks[i].Light)
		}
	})
	p, k := called(t, s, 1)
	l := p.Layers().WithLook(0, true).WithLook(1, true).WithSource(horizon, false)
	l = l.WithTrims(map[int]cue.Entry{fine: lit("70 lx", ""), torch: lit("20 lx", "2700 K")})
	l = l.WithTrimsOf(2, map[int]cue.Entry{sky: lit("10 %", "")})
	l.Whole = -0.5
	p.Set(k, l, Timing{Fade: 1})
	k = settle(t, p, k)
	was, _ := s.render(p, k)
	says(t, p.Reload(k, other, r), false, "")
	if len(p.Prompts()) > 0 {
		t.Errorf("it prompts %q", p.Prompts())
	}
	for f := k; f < k+100; f += 7 {
		state, st := pictureOf(p, f)
		now := s.frames()
		r.Render(state, now)
		if !slices.Equal(now, was) || st.Motion != cue.Settled || st.Cue != 1 {
			t.Fatalf("frame %d: the light moves (%+v)", f, st)
		}
	}
	got := p.Layers()
	if len(got.Trims[1]) != 2 || len(got.Trims[0]) != 1 || !slices.Equal(got.Looks, []int{1, 0}) || !slices.Equal(got.Without, []int{n - 1 - horizon}) {
		t.Errorf("layers are %+v", got)
	}
	p.Go(k+200, 0) // stern, with its trim
	if got := p.Scene().Light[n-1-sky].Level; got != "10 %" {
		t.Errorf("the trim of another cue is %q", got)
	}
}
