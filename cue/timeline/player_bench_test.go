package timeline

import (
	"testing"

	"limn/cue"
	"limn/cue/fade"
	"limn/fixtures"
)

// many is a player of 512 sixteen-bit sources in the middle of a fade.
func many(b *testing.B) (*Player, *cue.Shoot) {
	b.Helper()
	one := rig(false).Sources[fine]
	shoot := &cue.Shoot{Rig: &fixtures.Rig{}, Camera: cue.Camera{White: studioWhite}, Turntable: cue.Turntable{Hand: true}}
	for i := range 512 {
		src := one
		src.Role = fixtures.Fill
		src.Name = string(rune('a'+i%26)) + string(rune('a'+i/26))
		src.Universe = 1 + i/64
		src.Addresses = []int{1 + 8*(i%64)}
		shoot.Rig.Sources = append(shoot.Rig.Sources, src)
	}
	cues := make([]cue.Resolved, 2)
	for i := range cues {
		cues[i].Light = make([]cue.Light, 512)
		for j := range cues[i].Light {
			cues[i].Light[j] = light(lights[(i*3+j)%6], 3600)
			cues[i].Light[j].Curve = fade.Curve(j % 3)
		}
	}
	shoot.Cues = make([]cue.Cue, 2)
	shoot.Resolved = cues
	r, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		b.Fatal(err)
	}
	p := New(shoot, r)
	p.Prepare(0)
	p.Prepare(1)
	p.Go(0, 0)
	p.Go(1000, 1)
	return p, shoot
}

func BenchmarkAt512(b *testing.B) {
	p, _ := many(b)
	s := p.NewState()
	b.ReportAllocs()
	k := int64(1000)
	for b.Loop() {
		p.At(k, s)
		k++
	}
}

// What a command costs once it is prepared: this is how long the frame thread
// may have to wait for it.
func BenchmarkGo512(b *testing.B) {
	p, _ := many(b)
	b.ReportAllocs()
	k := int64(1000)
	for b.Loop() {
		k += 100
		p.Clone().Go(k, int(k/100)%2)
	}
}

// strips is a player of eight strips of forty cells amid a fade from ramp to ramp.
func strips(b *testing.B) *Player {
	b.Helper()
	shoot := &cue.Shoot{Rig: &fixtures.Rig{}, Camera: cue.Camera{White: studioWhite}, Turntable: cue.Turntable{Hand: true}}
	cues := make([]cue.Resolved, 2)
	for i := range 8 {
		src := rig(false).Sources[strip]
		long := *src.Profile
		long.Cells = 40
		src.Profile, src.Name, src.Universe, src.Addresses = &long, string(rune('a'+i)), 1+i/4, []int{1 + 120*(i%4)}
		shoot.Rig.Sources = append(shoot.Rig.Sources, src)
		for k := range cues {
			cells := ramp(40, lights[(i+k)%4], lights[4+(i+k)%4])
			l := light(fixtures.Mean(cells), 3600)
			l.Cells = cells
			cues[k].Light = append(cues[k].Light, l)
		}
	}
	shoot.Cues, shoot.Resolved = make([]cue.Cue, 2), cues
	r, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		b.Fatal(err)
	}
	p := New(shoot, r)
	p.Prepare(0)
	p.Prepare(1)
	p.Go(0, 0)
	p.Go(1000, 1)
	return p
}

func BenchmarkAtStrips(b *testing.B) {
	p := strips(b)
	s := p.NewState()
	b.ReportAllocs()
	k := int64(1000)
	for b.Loop() {
		p.At(k, s)
		k++
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(8*40), "ns/cell")
}

func BenchmarkGoStrips(b *testing.B) {
	p := strips(b)
	b.ReportAllocs()
	k := int64(1000)
	for b.Loop() {
		k += 100
		p.Clone().Go(k, int(k/100)%2)
	}
}

// All of them following the table.
func BenchmarkAtFollowing512(b *testing.B) {
	p, _ := many(b)
	k := int64(1000)
	p.Drive(k, swaying, evenly{0, 10, 1 << 40}, Timing{Fade: 1})
	s := p.NewState()
	b.ReportAllocs()
	for b.Loop() {
		p.At(k, s)
		k++
	}
}

// A step of the whole set's level, prepared.
func BenchmarkWhole512(b *testing.B) {
	p, _ := many(b)
	levels := [2]Layers{p.Layers(), p.Layers()}
	levels[1].Whole = -0.5
	p.PrepareLayers(levels[0])
	p.PrepareLayers(levels[1])
	b.ReportAllocs()
	k := int64(1000)
	for b.Loop() {
		k++
		p.Clone().Set(k, levels[k%2], Timing{Fade: TrimFade})
	}
}
