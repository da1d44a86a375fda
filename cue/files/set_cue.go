package files

import (
	"fmt"
	"slices"
	"strings"

	"limn/cue"
	"limn/fixtures"
	"limn/profiles/tomlfile"
)

// alone makes an edit that has its round for itself.
func (w *planner) alone(e Edit) error {
	switch e := e.(type) {
	case NewCue:
		return w.newCue(e)
	case NewAngle:
		return w.newAngle(e)
	case SetCard:
		return w.setCard(e)
	case SetPlace:
		return w.setPlace(e)
	case SetCueKey:
		return w.setCueKey(e)
	}
	panic(fmt.Sprintf("no edit: %T", e)) // a mistake of ours
}

// newCue writes a cue.
func (w *planner) newCue(e NewCue) error {
	s := w.now.shoot
	switch {
	case s.CueIndex(e.Name) >= 0:
		return fmt.Errorf("there is a cue called %s already; give the new one another name", tomlfile.Quote(e.Name))
	case e.Angle != "" && e.Azimuth != nil:
		return fmt.Errorf("the new cue %s is given an angle and degrees; give one of the two", tomlfile.Quote(e.Name))
	case e.Angle != "" && !slices.ContainsFunc(s.Angles, func(a cue.Angle) bool { return a.Name == e.Angle }):
		names := make([]string, len(s.Angles))
		for i := range names {
			names[i] = s.Angles[i].Name
		}
		return unknown("angle", e.Angle, names)
	}
	after := e.After
	if after == "" {
		after = e.From
	}
	from := -1
	var err error
	entries := []tomlfile.Entry{{Key: "name", Value: e.Name}}
	if e.From != "" {
		if from, err = w.cueIndex(e.From); err != nil {
			return err
		}
		entries = append(entries, tomlfile.Entry{Key: "from", Value: e.From})
	}
	switch {
	case e.Angle != "":
		entries = append(entries, tomlfile.Entry{Key: "angle", Value: e.Angle})
	case e.Azimuth != nil:
		entries = append(entries, tomlfile.Entry{Key: "angle", Value: *e.Azimuth})
	}
	if len(e.Looks) > 0 {
		entries = append(entries, tomlfile.Entry{Key: "looks", Value: e.Looks})
	}
	file, at, n := w.lastCueFile(), tomlfile.Path{"cue"}, -1
	place := len(s.Cues)
	if after != "" {
		i, err := w.cueIndex(after)
		if err != nil {
			return err
		}
		place = i + 1
		var way tomlfile.Path
		file, way = w.cuePath(i)
		n = way[1].(int)
	}
	ed, err := w.editor(file)
	if err != nil {
		return err
	}
	w.may[cueKey(e.Name, "")[:len(cueKey(e.Name, ""))-1]] = true
	w.proofs = append(w.proofs, func(is *cue.Shoot) error {
		switch i := is.CueIndex(e.Name); {
		case i != place:
			return fmt.Errorf("cue %s would stand elsewhere", e.Name)
		case is.Cues[i].From != e.From || is.Cues[i].Angle != e.Angle || !slices.Equal(is.Cues[i].Looks, e.Looks),
			(is.Cues[i].Azimuth == nil) != (e.Azimuth == nil), e.Azimuth != nil && *is.Cues[i].Azimuth != *e.Azimuth:
			return fmt.Errorf("cue %s would not be what was asked", e.Name)
		case from >= 0 && len(e.Looks) == 0 && !sameLight(&is.Resolved[i], &is.Resolved[is.CueIndex(e.From)]):
			return fmt.Errorf("cue %s would not be the light of %s", e.Name, e.From)
		}
		return nil
	})
	return ed.Insert(at, n, entries...)
}

// sameLight says whether two resolved cues are the same light.
func sameLight(a, b *cue.Resolved) bool {
	return slices.EqualFunc(a.Light, b.Light, func(x, y cue.Light) bool {
		return x.Asked == y.Asked && slices.Equal(x.Cells, y.Cells)
	})
}

// lastCueFile is the file that cues are added to.
func (w *planner) lastCueFile() string {
	if cues := w.now.shoot.Cues; len(cues) > 0 {
		return w.file(cues[len(cues)-1].Origin)
	}
	last := CuesFile
	for name := range w.now.seen.files {
		if strings.HasPrefix(name, CuesDir+"/") && (last == CuesFile || name > last) {
			last = name
		}
	}
	return last
}

// newAngle writes an angle below the others.
func (w *planner) newAngle(e NewAngle) error {
	angles := w.now.shoot.Angles
	if slices.ContainsFunc(angles, func(a cue.Angle) bool { return a.Name == e.Name }) {
		return fmt.Errorf("there is an angle called %s already; give the new one another name", tomlfile.Quote(e.Name))
	}
	file := w.lastCueFile()
	if len(angles) > 0 {
		file = w.file(angles[len(angles)-1].Origin)
	}
	ed, err := w.editor(file)
	if err != nil {
		return err
	}
	w.may["angle\x00"+e.Name] = true
	w.proofs = append(w.proofs, func(is *cue.Shoot) error {
		for _, a := range is.Angles {
			if a.Name == e.Name && a.Azimuth == e.Azimuth {
				return nil
			}
		}
		return fmt.Errorf("angle %s would not be what was asked", e.Name)
	})
	return ed.Insert(tomlfile.Path{"angle"}, -1, tomlfile.Entry{Key: "name", Value: e.Name}, tomlfile.Entry{Key: "azimuth", Value: e.Azimuth})
}

// placeEntries are the keys of a place, those it need not have left out.
func placeEntries(p *fixtures.Place, has func(key string) bool) []tomlfile.Entry {
	out := []tomlfile.Entry{{Key: "azimuth", Value: p.Azimuth.Degrees}}
	if p.Elevation.Degrees != 0 || has("elevation") {
		out = append(out, tomlfile.Entry{Key: "elevation", Value: p.Elevation.Degrees})
	}
	out = append(out, tomlfile.Entry{Key: "distance", Value: p.Distance.String()})
	if p.Rides {
		out = append(out, tomlfile.Entry{Key: "rides", Value: "table"})
	}
	return out
}

// samePlaceAs says whether a place is that which was asked for.
func samePlaceAs(a, b fixtures.Place) bool {
	return a.Known && a.Azimuth.Degrees == b.Azimuth.Degrees && a.Elevation.Degrees == b.Elevation.Degrees &&
		a.Distance.Metres == b.Distance.Metres && a.Rides == b.Rides
}

// setCard writes where a card stands.
func (w *planner) setCard(e SetCard) error {
	i, err := w.cueIndex(e.Cue)
	if err != nil {
		return err
	}
	s := w.now.shoot
	card := slices.IndexFunc(s.Cards, func(c cue.Card) bool { return c.Name == e.Card })
	if card < 0 {
		names := make([]string, len(s.Cards))
		for k := range names {
			names[k] = s.Cards[k].Name
		}
		return unknown("card", e.Card, names)
	}
	out := e.Out != nil && *e.Out
	if out && e.Place != nil {
		return fmt.Errorf("card %s is given a place and taken away; do one of the two", tomlfile.Quote(e.Card))
	}
	file, way := w.cuePath(i)
	ed, err := w.editor(file)
	if err != nil {
		return err
	}
	table := append(way, "card", e.Card)
	at := func(key string) tomlfile.Path { return append(slices.Clone(table), key) }
	w.may[cueKey(e.Cue, "card\x00"+e.Card)] = true
	w.proofs = append(w.proofs, func(is *cue.Shoot) error {
		for _, p := range is.Resolved[is.CueIndex(e.Cue)].Cards {
			if p.Card == card {
				if e.Place != nil && !samePlaceAs(p.Place, *e.Place) || e.Mark != nil && p.Mark != *e.Mark || p.Out != (out || e.Out == nil && e.Place == nil && p.Out) {
					break
				}
				return nil
			}
		}
		return fmt.Errorf("card %s would not stand where it was asked", e.Card)
	})
	if out && ed.Has(table) { // a card that is away has no place
		return w.cardAway(ed, table)
	}
	var entries []tomlfile.Entry
	if e.Place != nil {
		if ed.Has(at("place")) {
			if err := w.editPlace(ed, at("place"), e.Place); err != nil {
				return err
			}
		} else {
			entries = append(entries, tomlfile.Entry{Key: "place", Value: tomlfile.Inline(placeEntries(e.Place, func(string) bool { return false }))})
		}
	}
	if e.Mark != nil {
		entries = append(entries, tomlfile.Entry{Key: "mark", Value: *e.Mark})
	}
	if out || ed.Has(at("out")) && (e.Out != nil || e.Place != nil) {
		entries = append(entries, tomlfile.Entry{Key: "out", Value: out})
	}
	if len(entries) == 0 {
		return nil
	}
	return ed.Set(table, entries...)
}

// cardAway turns what a cue says of a card into out = true.
func (w *planner) cardAway(ed *tomlfile.Editor, table tomlfile.Path) error {
	at := func(key string) tomlfile.Path { return append(slices.Clone(table), key) }
	switch {
	case ed.Has(at("out")):
		if err := ed.Replace(at("out"), true); err != nil {
			return err
		}
		for _, key := range []string{"place", "mark"} {
			if ed.Has(at(key)) {
				if err := ed.Remove(at(key)); err != nil {
					return err
				}
			}
		}
	case ed.Has(at("place")):
		if err := ed.Rename(at("place"), "out", true); err != nil {
			return err
		}
		if ed.Has(at("mark")) {
			return ed.Remove(at("mark"))
		}
	case ed.Has(at("mark")):
		return ed.Rename(at("mark"), "out", true)
	default:
		return ed.Set(table, tomlfile.Entry{Key: "out", Value: true})
	}
	return nil
}

// editPlace changes a place that is written.
func (w *planner) editPlace(ed *tomlfile.Editor, at tomlfile.Path, p *fixtures.Place) error {
	has := func(key string) bool { return ed.Has(append(slices.Clone(at), key)) }
	if !p.Rides && has("rides") {
		return ed.Replace(at, tomlfile.Inline(placeEntries(p, func(string) bool { return false })))
	}
	return ed.Set(at, placeEntries(p, has)...)
}

// setPlace writes where a source stands in a cue.
func (w *planner) setPlace(e SetPlace) error {
	i, err := w.cueIndex(e.Cue)
	if err != nil {
		return err
	}
	source, err := w.source(e.Source)
	if err != nil {
		return err
	}
	file, way := w.cuePath(i)
	ed, err := w.editor(file)
	if err != nil {
		return err
	}
	table := append(way, "place", e.Source)
	at := func(key string) tomlfile.Path { return append(slices.Clone(table), key) }
	w.may[cueKey(e.Cue, "place\x00"+e.Source)] = true
	w.proofs = append(w.proofs, func(is *cue.Shoot) error {
		for _, p := range is.Resolved[is.CueIndex(e.Cue)].Places {
			if p.Source == source && (e.Place == nil || samePlaceAs(p.Place, *e.Place)) && (e.Mark == nil || p.Mark == *e.Mark) {
				return nil
			}
		}
		return fmt.Errorf("%s would not stand where it was asked", e.Source)
	})
	var entries []tomlfile.Entry
	if e.Place != nil {
		if !e.Place.Rides && ed.Has(at("rides")) {
			return fmt.Errorf("%s rides on the table in this cue; take rides out of the file first", tomlfile.Quote(e.Source))
		}
		entries = placeEntries(e.Place, func(key string) bool { return ed.Has(at(key)) })
	}
	if e.Mark != nil {
		entries = append(entries, tomlfile.Entry{Key: "mark", Value: *e.Mark})
	}
	if len(entries) == 0 {
		return nil
	}
	return ed.Set(table, entries...)
}

// cueKeys are the keys of a cue that may be set, by the part of a digest they
// change.
var cueKeys = map[string]string{
	"from": "from", "angle": "angle", "looks": "looks", "note": "note",
	"fade": "timing", "delay": "timing", "curve": "timing", "path": "timing",
	"camera.shutter": "camera", "camera.aperture": "camera", "camera.iso": "camera",
	"camera.fps": "camera", "camera.focal": "camera", "camera.distance": "camera",
}

// setCueKey writes one key of a cue.
func (w *planner) setCueKey(e SetCueKey) error {
	i, err := w.cueIndex(e.Cue)
	if err != nil {
		return err
	}
	part, known := cueKeys[e.Key]
	if !known {
		return fmt.Errorf("%s of a cue cannot be set; write it by hand", tomlfile.Quote(e.Key))
	}
	switch e.Value.(type) {
	case string, int, float64, []string:
	default:
		return fmt.Errorf("%s cannot be set to %v", e.Key, e.Value)
	}
	file, way := w.cuePath(i)
	ed, err := w.editor(file)
	if err != nil {
		return err
	}
	key := e.Key
	if under, name, found := strings.Cut(e.Key, "."); found {
		way, key = append(way, under), name
	}
	w.may[cueKey(e.Cue, part)] = true
	return ed.Set(way, tomlfile.Entry{Key: key, Value: e.Value})
}
