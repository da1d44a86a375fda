package files

import (
	"path"

	"limn/fixtures/nearest"

	"limn/cue"
	"limn/fixtures"
	"limn/profiles/tomlfile"
)

// readRig reads rig.toml.
func (l *loader) readRig(t *tomlfile.Table) {
	l.misplaced(t, CuesFile, "angle", "look", "cue", "sequence")
	l.shoot.AllowFlashing, _ = t.Bool("allow-flashing")
	l.subject(t.Table("subject"))
	l.camera(t.Table("camera"))
	turntable := t.Table("turntable")
	for _, o := range t.Tables("output") {
		l.output(o)
	}
	l.crossing()
	l.timeCode(t.Table("timecode"))
	library := l.openProfiles()
	for _, s := range t.Tables("source") {
		l.source(s, library)
	}
	if len(l.shoot.Rig.Sources) == 0 && !t.Damaged() {
		l.ps.Error(t.Pos(), `write a [[source]] for each light, as in README`, "the rig has no sources")
	}
	for _, c := range t.Tables("card") {
		l.card(c)
	}
	l.bounced()
	l.supply(t.Table("supply"))
	l.ambient(t.Table("room"))
	l.inside()
	l.groups(t.Table("group"))
	l.work(t.Table("work"))
	l.turntable(turntable)
	l.tableLimits(turntable)
	t.Close()
	l.report(l.shoot.Rig.Check())
}

// misplaced reports tables that belong in another file.
func (l *loader) misplaced(t *tomlfile.Table, file string, keys ...string) {
	for _, key := range keys {
		if at := t.KeyPos(key); at.Line > 0 && t.Has(key) {
			l.ps.Error(at, "move it to "+path.Join(l.dir, file), "%s does not belong here", key)
		}
	}
}

// origin is a place in the domain's words.
func origin(p tomlfile.Pos) fixtures.Origin { return fixtures.Origin(p) }

// subject reads what is on the table. A shoot without one is called after its folder.
func (l *loader) subject(t *tomlfile.Table) {
	s := &l.shoot.Subject
	s.Origin, s.Name, s.Scale = origin(t.Pos()), path.Base(l.folder()), 1
	if t.Has("name") {
		if name := l.name(t, `name = "Kittiwake"`); name != "" {
			s.Name = name
		}
	}
	l.scale(t)
	s.Length, _ = length(t, "length")
	s.Width, _ = length(t, "width")
	s.Height, _ = length(t, "height")
	l.proportions(t)
	l.shape(t)
}

// scale reads 12 for 1:12.
func (l *loader) scale(t *tomlfile.Table) {
	v, ok := t.Value("scale")
	if !ok {
		return
	}
	if text, isText := v.Text(); isText {
		l.ps.Error(v.Pos(), `write the number alone: scale = 12 for 1:12`, "the scale %s is a text", tomlfile.Quote(text))
		return
	}
	n, ok := t.Float("scale")
	switch {
	case !ok:
	case n > 0 && n < 1:
		l.ps.Error(v.Pos(), "write how many times larger the real thing is: scale = 12 for 1:12", "the scale %g is below 1", n)
	case !(n >= 1 && n <= cue.MaxScale):
		l.ps.Error(v.Pos(), "scales go from 1 (the thing itself) to 1000", "the scale %g is out of range", n)
	default:
		l.shoot.Subject.Scale = n
	}
}

// MaxModel is the longest model, in metres, that is taken without a question: a
// longer one will hardly stand on a table, so its unit may be a slip.
const MaxModel = 3.0

// proportions asks about measures that are likely slips of a unit.
func (l *loader) proportions(t *tomlfile.Table) {
	s := &l.shoot.Subject
	for _, m := range []struct {
		key    string
		metres float64
		text   string
	}{
		{"length", s.Length.Metres, s.Length.String()},
		{"width", s.Width.Metres, s.Width.String()},
		{"height", s.Height.Metres, s.Height.String()},
	} {
		if m.metres > MaxModel {
			l.ps.Warn(t.ValuePos(m.key), "is the unit right?", "a %s of %s is much for a turntable: %.4g m at full size",
				m.key, m.text, m.metres*s.Scale)
		}
	}
	if s.Length.Metres > 0 && s.Width.Metres > s.Length.Metres {
		l.ps.Warn(t.ValuePos("width"), "length runs from bow to stern", "the width %s is more than the length %s", s.Width, s.Length)
	}
}

// turntable reads what turns the subject. The sources are known by now.
func (l *loader) turntable(t *tomlfile.Table) {
	l.shoot.Turntable = cue.Turntable{Origin: origin(t.Pos()), Hand: true}
	drive, ok := t.String("drive")
	if !ok || drive == "hand" {
		return
	}
	at := t.ValuePos("drive")
	i := l.shoot.Rig.Index(drive)
	if i < 0 {
		if !l.damaged {
			l.ps.Error(at, nearest.DidYouMean(drive, append([]string{"hand"}, l.tables()...)), "the table cannot be driven by %s", tomlfile.Quote(drive))
		}
		return
	}
	src := &l.shoot.Rig.Sources[i]
	if src.Profile != nil && !src.Profile.HasAzimuth() || src.Hand {
		l.ps.Error(at, `write "hand", or name a source whose profile has an azimuth slot`, "%s cannot turn a table", tomlfile.Quote(drive))
		return
	}
	l.shoot.Turntable.Hand, l.shoot.Turntable.Drive = false, drive
}

// tables lists the sources that turn one.
func (l *loader) tables() []string {
	var names []string
	for i := range l.shoot.Rig.Sources {
		if s := &l.shoot.Rig.Sources[i]; s.Profile != nil && s.Profile.HasAzimuth() {
			names = append(names, s.Name)
		}
	}
	return names
}
