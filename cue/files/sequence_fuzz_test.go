package files

import (
	"os"
	"testing"
	"testing/fstest"

	"limn/cue"
)

// Whatever stands in a sequence is read without a panic, and what is sound is told out within bounds.
func FuzzSequence(f *testing.F) {
	rig, err := os.ReadFile("testdata/broken/sequence-motor/rig.toml")
	if err != nil {
		f.Fatal(err)
	}
	const cues = `
[[cue]]
name = "bow"
angle = 35
[cue.light]
sky = "80 %"
[[cue]]
name = "beam"
angle = 95
fade = "0 s"
[cue.light]
stroke = "40 %"
[[sequence]]
name = "s"
`
	for _, s := range []string{
		"by = \"time\"\nsteps = [{ cue = \"bow\", stay = \"0.1 s\" }, { cue = \"beam\", stay = \"0.1 s\" }]",
		"by = \"frame\"\nframes = 3\nfocus = { from = \"0.48 m\", to = \"0.52 m\", steps = 7 }\npasses = true\norder = [\"pass\"]\nsteps = [{ cue = \"bow\" }]",
		"by = \"angle\"\ndrive = \"motor\"\nspeed = \"4 deg/s\"\nturns = 1.5\nsteps = [{ cue = \"bow\" }, { cue = \"beam\" }]",
		"by = \"angle\"\ndrive = \"stream\"\nfrom = 0\nsteps = [{ cue = \"bow\" }, { cue = \"bow\" }]",
		"steps = [{ cue = \"\" }]", // once dropped without a word
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, sequence string) {
		shoot, _ := Load("shoot", fstest.MapFS{"rig.toml": {Data: rig}, "cues.toml": {Data: []byte(cues + sequence)}})
		if shoot == nil {
			return
		}
		for i := range shoot.Sequences {
			q := &shoot.Sequences[i]
			shots, err := shoot.Expand(q)
			if err != nil || len(shots) == 0 || len(shots) > cue.MaxShots {
				t.Errorf("a sound sequence is told out in %d, %v", len(shots), err)
			}
		}
	})
}
