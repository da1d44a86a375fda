package timeline

import (
	"slices"
	"testing"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"

	"pgregory.net/rapid"
)

// The same cue by any path gives the same bytes once settled, and they are
// those of the still rule.
func TestSameCueSameBytes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSet(t)
		for i := range s.shoot.Resolved { // without one, the table stands wherever it was
			s.shoot.Resolved[i].HasAngle = true
		}
		program := drawProgram(t, s, 10)
		p := s.player()
		for _, o := range program {
			o.give(p)
		}
		k := program[len(program)-1].k + rapid.Int64Range(0, 100).Draw(t, "frames later")
		i := rapid.IntRange(0, len(s.shoot.Resolved)-1).Draw(t, "cue")
		p.Go(k, i)
		got, st := s.render(p, settleRapid(t, p, k))
		if st.Motion != cue.Settled || st.Cue != i {
			t.Fatalf("%+v is not cue %d, settled", st, i)
		}

		direct := s.player()
		direct.Go(0, i)
		want, _ := s.render(direct, settleRapid(t, direct, 0))
		if !slices.Equal(got, want) {
			t.Fatalf("cue %d by another path gives other bytes", i)
		}
		for n := range s.shoot.Rig.Sources {
			checkStill(t, s, n, &s.shoot.Resolved[i].Light[n], got)
		}
	})
}

// checkStill compares a source's slots with the still rule, asked of the light
// by itself: of every cell by itself where no master joins them.
func checkStill(t *rapid.T, s *set, n int, l *cue.Light, frames [][fixtures.UniverseSize]byte) {
	src := &s.shoot.Rig.Sources[n]
	if src.Hand {
		return
	}
	h, err := fixtures.NewHead(src.Profile, src.Prefer)
	if err != nil {
		t.Fatal(err)
	}
	layout := s.renderer.Layout(n)
	want := make([]int, layout.Codes())
	switch {
	case l.Cells == nil:
		codes := make([]int, len(h.Controls()))
		h.Still(l.Asked, codes)
		layout.Spread(codes, want)
	case layout.Unit == 0:
		for c, light := range l.Cells {
			h.Still(light, want[c*layout.Each:(c+1)*layout.Each])
		}
	default:
		state := &fixtures.State{Light: make([]colour.XYZ, n+1), Cells: make([][]colour.XYZ, n+1), Offset: make([][]int, n+1)}
		state.Cells[n], state.Offset[n] = l.Cells, want
		r, own := s.renderer.Clone(), s.frames()
		r.LandCells(n, l.Cells, want)
		r.Render(state, own)
		want = codesOf(s, n, h, own)
	}
	if got := codesOf(s, n, h, frames); !slices.Equal(got, want) {
		t.Fatalf("%s has the codes %v, the still rule gives %v", src.Name, got, want)
	}
}

// codesOf reads a source's codes from the slots, those of all cells.
func codesOf(s *set, n int, h *fixtures.Head, frames [][fixtures.UniverseSize]byte) []int {
	src := &s.shoot.Rig.Sources[n]
	frame := &frames[slices.Index(s.renderer.Universes(), src.Universe)]
	layout := s.renderer.Layout(n)
	codes := make([]int, 0, layout.Codes())
	read := func(c *fixtures.Control, cell int) {
		at := src.Addresses[0] - 2 + cell*src.Profile.Stride
		code := int(frame[at+c.At])
		if c.Fine > 0 {
			code = code<<8 | int(frame[at+c.Fine])
		}
		codes = append(codes, code)
	}
	controls := h.Controls()
	for cell := range layout.Cells {
		for j := range layout.Each {
			read(&controls[j], cell)
		}
	}
	for j := layout.Each; j < len(controls); j++ {
		read(&controls[j], 0)
	}
	return codes
}

func settleRapid(t *rapid.T, p *Player, k int64) int64 {
	p.Resume(k)
	p.Confirm(k)
	st := p.At(k, p.NewState())
	if st.SettledAt < 0 {
		t.Fatalf("nothing is left to do, and yet it will not settle: %+v", st)
	}
	return max(st.SettledAt, k)
}

// Replaying the commands gives the same frames; asking again, in any order and
// of a clone, gives the same answer.
func TestAtIsPure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSet(t)
		program := drawProgram(t, s, 8)
		p, again := s.player(), s.player()
		for _, o := range program {
			o.give(p)
		}
		last := program[len(program)-1].k
		asked := rapid.SliceOfN(rapid.Int64Range(last, last+200), 1, 20).Draw(t, "frames asked")
		type answer struct {
			frames [][fixtures.UniverseSize]byte
			status Status
		}
		first := make([]answer, len(asked))
		for i, k := range asked {
			first[i].frames, first[i].status = s.render(p, k)
		}
		for _, o := range program {
			again.At(o.k, again.NewState()) // asking in between changes nothing
			o.give(again)
		}
		for _, q := range []*Player{p, p.Clone(), again} {
			for i := range slices.Backward(asked) {
				frames, st := s.render(q, asked[i])
				if !slices.Equal(frames, first[i].frames) || st != first[i].status {
					t.Fatalf("frame %d is not what it was", asked[i])
				}
			}
		}
		early, st := s.render(p, p.last-50)
		at, stAt := s.render(p, p.last)
		if !slices.Equal(early, at) || st != stAt {
			t.Fatal("a frame before the last command is not the last command's")
		}
	})
}

// A clone's commands do not reach the player it was made from.
func TestCloneIsIndependent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSet(t)
		program := drawProgram(t, s, 8)
		p := s.player()
		for _, o := range program[:len(program)/2] {
			o.give(p)
		}
		k := program[len(program)/2].k
		frames, st := s.render(p, k+7)
		prompts := slices.Clone(p.Prompts())
		c := p.Clone()
		for _, o := range program[len(program)/2:] {
			o.give(c)
		}
		framesNow, stNow := s.render(p, k+7)
		if !slices.Equal(frames, framesNow) || st != stNow || !slices.Equal(prompts, p.Prompts()) {
			t.Fatal("a clone's commands changed the player")
		}
	})
}
