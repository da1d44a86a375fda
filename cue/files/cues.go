package files

import (
	"fmt"
	"slices"

	"limn/cue"
	"limn/profiles/tomlfile"
)

// readCues reads one file of cues.
func (l *loader) readCues(t *tomlfile.Table) {
	l.misplaced(t, RigFile, "subject", "camera", "turntable", "output", "source", "card", "group", "work", "allow-flashing")
	for _, a := range t.Tables("angle") {
		l.namedAngle(a)
	}
	looks := t.Table("look")
	for _, name := range looks.Keys() {
		l.look(looks, name)
	}
	cues := t.Tables("cue")
	l.shoot.Cues = slices.Grow(l.shoot.Cues, min(len(cues), cue.MaxCues))
	for _, c := range cues {
		l.cue(c)
	}
	for _, s := range t.Tables("sequence") {
		l.sequence(s)
	}
	t.Close()
}

// closing checks what only the whole of the files can tell.
func (l *loader) closing(cueFiles []string) {
	if len(l.shoot.Cues) == 0 && len(cueFiles) > 0 && !l.damaged {
		l.ps.Warn(tomlfile.Pos{File: l.shown(cueFiles[0])}, `write [[cue]] with name = "bow" and its light`, "there is no cue to play")
	}
	used := map[int]bool{}
	for i := range l.shoot.Rig.Sources {
		used[l.shoot.Rig.Sources[i].Universe] = true
	}
	for i := range l.shoot.Outputs {
		o := &l.shoot.Outputs[i]
		for _, u := range o.Universes {
			if !used[u] && !l.damaged {
				l.ps.Warn(tomlfile.Pos(o.Origin), "take it out of its universes", "output %s carries universe %d, where no source is", tomlfile.Quote(o.Name), u)
			}
		}
	}
}

// namedAngle reads one [[angle]].
func (l *loader) namedAngle(t *tomlfile.Table) {
	if !l.room(len(l.shoot.Angles), cue.MaxNames, "angles", t) {
		return
	}
	a := cue.Angle{Origin: origin(t.Pos())}
	name := l.name(t, `name = "bow three-quarter"`)
	a.Name = name
	if t.Require("azimuth", "azimuth = 35, counter-clockwise seen from above; 0 is bow toward the camera") {
		d, _ := l.angle(t, "azimuth", cue.MaxAzimuth)
		a.Azimuth = d.Degrees
	}
	if name != "" {
		l.shoot.Angles = append(l.shoot.Angles, a)
	}
}

func rangeOf(most float64) string { return fmt.Sprintf("it goes from -%g to %g degrees", most, most) }

// look reads one [look.NAME].
func (l *loader) look(looks *tomlfile.Table, name string) {
	t := looks.Table(name)
	if t == nil || !l.room(len(l.shoot.Looks), cue.MaxNames, "looks", t) {
		return
	}
	l.fit("name", name, looks.KeyPos(name), "[look.dusk]")
	l.shoot.Looks = append(l.shoot.Looks, cue.Look{Origin: origin(looks.KeyPos(name)), Name: name, Light: l.light(t)})
}
