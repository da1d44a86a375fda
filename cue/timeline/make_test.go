package timeline

import (
	"testing"

	"limn/fixtures"
	"limn/profiles"
	"limn/profiles/tomlfile"
)

// Every profile that comes along, read twice, is one and the same light.
func TestProfilesAreAlike(t *testing.T) {
	a, b := profiles.Open(nil, "", new(tomlfile.Problems)), profiles.Open(nil, "", new(tomlfile.Problems))
	for _, name := range a.Names() {
		x, _ := a.Find(name)
		y, _ := b.Find(name)
		again := *y
		if again.Origin.Line++; !alike(x, &again) {
			t.Errorf("%s is another light once it is read again", name)
		}
		if again.Settle++; alike(x, &again) {
			t.Errorf("%s is the same with another settle", name)
		}
	}
}

func TestAlike(t *testing.T) {
	a := &fixtures.Profile{Origin: fixtures.Origin{File: "a", Line: 3}, Name: "x", Emitters: []fixtures.Emitter{{Name: "warm", Flux: 800}}, Settle: 0.3}
	b := *a
	b.Origin = fixtures.Origin{File: "b", Line: 4}
	b.Emitters = []fixtures.Emitter{a.Emitters[0]}
	if !alike(a, &b) || !alike[fixtures.Profile](nil, nil) || alike(a, nil) {
		t.Error("where it is written makes another light of it")
	}
	b.Emitters[0].Flux = 801
	if alike(a, &b) {
		t.Error("another flux is taken for the same")
	}
	b.Emitters = append([]fixtures.Emitter{}, a.Emitters[0], a.Emitters[0])
	if alike(a, &b) {
		t.Error("an emitter more is taken for the same")
	}
}
