package files

import (
	"limn/fixtures"
	"limn/profiles/tomlfile"
)

// approvals warns of cues whose light, by what is known now, is another than what
// was approved.
func (l *loader) approvals(r *fixtures.Renderer) {
	all := readApprovals(l.seen, func(file string, err error) {
		l.ps.Warn(tomlfile.Pos{File: l.shown(file)}, "approve the cue again, or delete the file", "the approval cannot be read: %v", err)
	})
	if len(all) == 0 {
		return
	}
	known := map[int]string{}
	knownAs := func(i int) string {
		if known[i] == "" {
			known[i] = knownOf(&l.shoot.Rig.Sources[i])
		}
		return known[i]
	}
	of, lost := matched(l.shoot, all)
	for i := range l.shoot.Cues {
		a := of[i]
		if a == nil {
			continue
		}
		for _, d := range a.unlike(l.shoot, &l.shoot.Resolved[i], r, knownAs) {
			cure := "approve it again, or see to that"
			if d.Source != "" {
				cure = "recall it as it was sent, or as the same light; or approve it again"
			}
			l.ps.Warn(tomlfile.Pos(l.shoot.Cues[i].Origin), cure, "in cue %s, %s", tomlfile.Quote(l.shoot.Cues[i].Name), d.Text)
		}
	}
	for _, a := range lost {
		l.ps.Warn(tomlfile.Pos{File: l.shown(a.File)}, "write the cue's name in it, or delete the file", "no cue is called %s, which was approved", tomlfile.Quote(a.Cue))
	}
}
