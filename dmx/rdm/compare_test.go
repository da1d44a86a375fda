package rdm

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

var sky = Fixture{
	UID: MakeUID(Prototype, 1), Label: "sky", StartAddress: 1, Footprint: 4, Mode: 2,
	Modes: []Mode{{1, 2, "2 channels"}, {2, 4, "4 channels"}, {3, 2, ""}},
}

func TestDisagree(t *testing.T) {
	for _, c := range []struct {
		what    string
		fixture Fixture
		patch   Patch
		want    []string
	}{
		{what: "agreed", fixture: sky, patch: Patch{Name: "sky", Address: 1, Footprint: 4}},
		{
			what: "address", fixture: sky, patch: Patch{Name: "sky", Address: 101, Footprint: 4},
			want: []string{`"sky": sky listens to address 1, the file says 101; set the device to 101, or write address = 1`},
		},
		{
			what: "slots, with modes that fit", fixture: sky, patch: Patch{Name: "sky", Address: 1, Footprint: 2},
			want: []string{`"sky": sky takes 4 slots in mode 2 "4 channels", its profile has 2; choose mode 1 "2 channels" or mode 3 at the device, or give it a profile with 4 slots`},
		},
		{
			what: "both, without modes", fixture: Fixture{UID: MakeUID(Prototype, 7), Model: "strip", StartAddress: 5, Footprint: 1}, patch: Patch{Name: "horizon", Address: 21, Footprint: 6},
			want: []string{
				`"horizon": strip listens to address 5, the file says 21; set the device to 21, or write address = 5`,
				`"horizon": strip takes 1 slot, its profile has 6; give it a profile with 1 slot`,
			},
		},
		{
			what: "no slots", fixture: Fixture{UID: MakeUID(Prototype, 7)}, patch: Patch{Name: "torch", Address: 21, Footprint: 6},
			want: []string{`"torch": 7ff0:00000007 takes no slots in its present mode, the file gives it address 21; choose another mode at the device`},
		},
	} {
		if got := Disagree(c.fixture, c.patch); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s:\n%q, want\n%q", c.what, got, c.want)
		}
	}
}

func TestCompare(t *testing.T) {
	strip := Fixture{UID: MakeUID(Prototype, 2), Model: "strip", StartAddress: 3, Footprint: 6}
	twin := sky
	twin.UID, twin.Label = MakeUID(Prototype, 3), "sky too"
	narrow := twin
	narrow.Footprint, narrow.Mode, narrow.Modes = 2, 0, nil
	for _, c := range []struct {
		what     string
		fixtures []Fixture
		patch    []Patch
		want     []string
	}{
		{what: "all agreed, two at one address", fixtures: []Fixture{sky, twin}, patch: []Patch{{Name: "sky", Address: 1, Footprint: 4}}},
		{
			what: "one of two at one address differs", fixtures: []Fixture{sky, narrow}, patch: []Patch{{Name: "sky", Address: 1, Footprint: 4}},
			want: []string{`"sky": sky too takes 2 slots, its profile has 4; give it a profile with 2 slots`},
		},
		{
			what: "by UID", fixtures: []Fixture{sky, twin}, patch: []Patch{{Name: "left", Address: 1, Footprint: 4, UID: twin.UID}, {Name: "right", Address: 11, Footprint: 4, UID: sky.UID}},
			want: []string{`"right": sky listens to address 1, the file says 11; set the device to 11, or write address = 1`},
		},
		{
			what: "missing, too many, and into each other", fixtures: []Fixture{sky, strip},
			patch: []Patch{{Name: "sky", Address: 1, Footprint: 4}, {Name: "edge", Address: 50, Footprint: 4}, {Name: "lantern", Address: 60, Footprint: 1, UID: MakeUID(Prototype, 9)}},
			want: []string{
				`"edge": no RDM device listens to address 50; that is right for a light without RDM`,
				`"lantern": 7ff0:00000009 is not on the line; look to its cable and power, or correct its UID in the file`,
				`strip (7ff0:00000002) at address 3, 6 slots, is in no source of the file`,
				`sky takes addresses 1 to 4 and strip begins at 3 among them; move one of them`,
			},
		},
		{what: "what takes no slots is nobody's business", fixtures: []Fixture{{UID: MakeUID(Prototype, 5)}}},
	} {
		if got := Compare(c.fixtures, c.patch); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s:\n%q, want\n%q", c.what, got, c.want)
		}
	}
}

// A line that is as the file says draws no warning, and one that differs in an address or a footprint always does.
func TestCompareTellsEveryDifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var fixtures []Fixture
		var patch []Patch
		next := 1
		for i := range rapid.IntRange(1, 8).Draw(t, "n") {
			f := Fixture{UID: MakeUID(Prototype, uint32(i+1)), StartAddress: next, Footprint: rapid.IntRange(1, 12).Draw(t, "slots")}
			fixtures = append(fixtures, f)
			patch = append(patch, Patch{Name: "x", Address: f.StartAddress, Footprint: f.Footprint})
			next += f.Footprint + rapid.IntRange(0, 9).Draw(t, "gap")
		}
		if got := Compare(fixtures, patch); len(got) != 0 {
			t.Fatalf("a line as the file says: %q", got)
		}
		i := rapid.IntRange(0, len(patch)-1).Draw(t, "which")
		if rapid.Bool().Draw(t, "address") {
			patch[i].Address += 600
		} else {
			patch[i].Footprint++
		}
		if got := Compare(fixtures, patch); len(got) == 0 {
			t.Fatal("a difference is not told")
		}
	})
}
