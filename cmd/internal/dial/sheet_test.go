package dial

import (
	"bytes"
	"strings"
	"testing"

	"limn/cue"
)

func sheet(t *testing.T, shoot *cue.Shoot, snaps []*cue.Snapshot, opt Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Sheet(&b, shoot, snaps, opt); err != nil {
		t.Fatal(err)
	}
	checkSVG(t, b.Bytes())
	return b.Bytes()
}

func TestSheet(t *testing.T) {
	shoot := kittiwake(t)
	all := moments(t)
	snaps := []*cue.Snapshot{all["waiting"], all["dusk"], all["fading"]}
	golden(t, "sheet.svg", sheet(t, shoot, snaps, Options{Theme: Ink}))
	golden(t, "sheet-narrow.svg", sheet(t, shoot, snaps[:1], Options{Width: 600}))
}

// A sheet of too many says how many there are.
func TestSheetOfMany(t *testing.T) {
	shoot := kittiwake(t)
	got := string(sheet(t, shoot, make([]*cue.Snapshot, 0), Options{}))
	if !strings.Contains(got, ">0 pictures<") {
		t.Error("an empty sheet does not say so")
	}
	snap := moments(t)["waiting"]
	many := make([]*cue.Snapshot, MaxSheet+5)
	for i := range many {
		many[i] = snap
	}
	got = string(sheet(t, shoot, many, Options{}))
	if n := strings.Count(got, `class="plan"`); n != MaxSheet || !strings.Contains(got, ">105 pictures, the first 100 here<") {
		t.Errorf("%d pictures", n)
	}
}

// Many sources: those that shine come first, the rest are counted.
func TestManySources(t *testing.T) {
	shoot := kittiwake(t)
	rig := *shoot.Rig
	shoot.Rig = &rig
	snap := moments(t)["waiting"]
	lit := snap.Sources[0]
	for range 200 {
		rig.Sources = append(rig.Sources, rig.Sources[3])
		snap.Sources = append(snap.Sources, cue.SourceSnapshot{})
	}
	snap.Sources[len(snap.Sources)-1] = lit
	rig.Sources[len(rig.Sources)-1].Name = "the last one"
	svg := draw(t, shoot, snap, Options{})
	checkSVG(t, svg)
	if !strings.Contains(string(svg), ">the last one<") || !strings.Contains(string(svg), "and 144 more sources") {
		t.Error("the picture loses the lit one, or the count")
	}
	text := Text(shoot, snap, 100, 30, false)
	checkText(t, text, 100, 30, false)
	if !strings.Contains(text, "the last one") || !strings.Contains(text, "more sources") {
		t.Errorf("the characters lose the lit one, or the count:\n%s", text)
	}
}
