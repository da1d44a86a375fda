package operate

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/timeline"
	"limn/fixtures"
)

// filing says whether a verb touches files: it is then never the frame thread's.
func (v Verb) filing() bool {
	switch v {
	case Keep, KeepHere, KeepEverywhere, KeepAs, CopyTo, Mirror, NewAngle, Reload, MyLight, TheFiles, Approve, Attach, AsSent, SameLight:
		return true
	}
	return false
}

// job is what a command that touches files comes to: all that is slow, and all
// that must not be done twice, is over. What is left acts at a frame.
type job struct {
	refused  string
	question *question
	notices  []string

	shoot *cue.Shoot // to be taken up; nil: the shoot stays
	r     *fixtures.Renderer
	mark  Mark

	sent   *timeline.Sent // the present cue is played as it was sent
	unsent bool           // it is no longer played so
	kept   []int          // cues (of the shoot before) whose trims are in the files now
	to     string         // cue that is gone to; "" = the present one stays
	looks  bool           // the looks laid on by hand are in the new cue, and no longer laid on
	text   string         // what was done

	plan       *files.Plan // that was written; undo takes it back
	done       string      // the command, for undo to name it
	back, redo bool        // it takes back what was kept, or keeps it again
}

func refusal(format string, args ...any) *job { return &job{refused: fmt.Sprintf(format, args...)} }

// act carries out what is left of a job in frame k.
func (j *job) act(m *moment, k int64, r *Reply) {
	for _, n := range j.notices {
		r.say("%s", n)
	}
	switch {
	case j.refused != "":
		r.refuse("%s", j.refused)
		return
	case j.question != nil:
		m.ask(j.question, r)
		return
	}
	l, old := m.layers(), m.shoot
	if j.looks && len(l.Looks) > 0 {
		l.Looks = nil
	}
	if j.unsent {
		l.Sent = with(l.Sent, l.Cue, nil, false)
	}
	before, bottom := m.balance(), m.past
	for _, i := range j.kept {
		l = l.WithTrimsOf(i, nil)
		if i == l.Cue && l.Here != nil {
			l.Here = nil
		}
		m.put(i, nil)
		m.ahead = with(m.ahead, i, true, false)
	}
	if j.back {
		m.reload(k, j.shoot, j.r, nil, r)
		m.unkeep(k, j, r)
		m.mark = j.mark
		r.say("%s", j.text)
		return
	}
	if j.shoot != nil {
		m.reload(k, j.shoot, j.r, func(now timeline.Layers) timeline.Layers {
			now.Trims, now.Here, now.Looks = nil, nil, nil
			mapped, _ := l.Mapped(old, j.shoot)
			now.Trims, now.Here, now.Looks, now.Sent = mapped.Trims, mapped.Here, mapped.Looks, mapped.Sent
			return now
		}, r)
	}
	m.mark = j.mark
	if j.sent != nil {
		before := m.balance()
		now := m.layers()
		now.Sent = with(now.Sent, now.Cue, j.sent, true)
		if m.lay(k, now, timeline.Timing{Fade: timeline.LookFade}, r); r.Refused {
			return
		}
		m.done(string(AsSent), before)
	}
	if j.to != "" {
		if i := m.shoot.CueIndex(j.to); i >= 0 {
			m.call(k, i, r)
		}
	}
	if j.plan != nil && !r.Refused {
		// What going to a new cue may have put on the stack is part of it.
		m.past = bottom.mapped(old, m.shoot)
		m.done(j.done, before.mapped(old, m.shoot))
		m.past.plan, m.past.to = j.plan, j.to
	}
	if j.text != "" {
		r.say("%s", j.text)
	}
}

// plan works out what a command that touches files comes to, and does to the disk
// what it does. do is held.
func (e *Engine) plan(m *moment, c Command) *job {
	if c.Verb == Reload {
		return e.planReload(m)
	}
	if e.options.Folder == nil {
		return refusal("there is no folder here to keep anything in")
	}
	q := m.question
	switch c.Verb {
	case Undo, Redo:
		return e.planBack(m, c)
	case Approve:
		return e.planApproval(m)
	case Attach:
		return e.planPicture(m, c)
	case AsSent:
		return e.planAsSent(m)
	case MyLight, TheFiles:
		if q == nil || q.keep == nil {
			return refusal("nothing was asked that %q answers", c.Verb)
		}
		if c.Verb == TheFiles {
			return e.planReload(m)
		}
		if _, problems := e.options.Folder.Reload(); hasErrors(problems) {
			return refusal("what somebody else has written has errors: %s; mend it, then keep", firstError(problems))
		}
		c = *q.keep
	}
	w, bad := m.filingWork(c, e.options.Folder)
	if bad != nil {
		return bad
	}
	plan, err := e.options.Folder.Plan(w.edits)
	if err != nil {
		return refusal("%v", err)
	}
	if w.settle != nil {
		if j := w.settle(plan); j != nil {
			return j
		}
		if plan, err = e.options.Folder.Plan(w.edits); err != nil {
			return refusal("%v", err)
		}
	}
	j := &w.job
	if len(plan.Changes()) > 0 {
		j.plan, j.done = plan, c.String()
	}
	j.notices = append(j.notices, plan.Said()...)
	for _, ch := range plan.Changes() {
		j.mark.Files = append(j.mark.Files, ch.Path)
	}
	j.mark.Kept = c.String()
	if e.options.Write {
		if err := plan.Write(files.By{What: c.String()}); err != nil {
			return writeFailed(err, c)
		}
	} else {
		plan.Adopt()
	}
	j.shoot = plan.Shoot()
	if j.r, err = fixtures.NewRenderer(j.shoot.Rig); err != nil {
		return refusal("%v", err)
	}
	e.prepared = map[*cue.Shoot][]bool{j.shoot: make([]bool, len(j.shoot.Resolved))}
	if len(j.mark.Files) == 0 {
		j.text = "the files say so already"
	} else if !e.options.Write {
		j.text += "; the files stay as they are (without --write)"
	}
	return j
}

// planBack takes back what was kept, or keeps it again.
func (e *Engine) planBack(m *moment, c Command) *job {
	of, word := m.past, "undone"
	if c.Verb == Redo {
		of, word = m.future, "done again"
	}
	plan, err := of.plan.Back()
	if err != nil {
		return refusal("%s cannot be taken back: %v; .limn/history has the version before", of.text, err)
	}
	if e.options.Write {
		if err := plan.Write(files.By{What: c.String() + " " + of.text}); err != nil {
			return refusal("nothing was written: %v; .limn/history has the version before", err)
		}
	} else {
		plan.Adopt()
	}
	j := e.taking(plan.Shoot())
	if j.refused != "" {
		return j
	}
	j.back, j.redo, j.plan = true, c.Verb == Redo, plan
	j.text = word + ": " + of.text
	for _, ch := range plan.Changes() {
		j.mark.Files = append(j.mark.Files, ch.Path)
	}
	j.mark.Kept = c.String()
	return j
}

// writeFailed is what becomes of a plan that could not be written.
func writeFailed(err error, c Command) *job {
	var changed *files.ChangedError
	if !errors.As(err, &changed) {
		return refusal("nothing was written: %v; the light and its trims stay", err)
	}
	return &job{question: &question{
		about: Reload, keep: &c,
		ask: Ask{
			Text: fmt.Sprintf("somebody else has changed %s since it was read; nothing was written", cue.ShortList(changed.Files)),
			Choices: []cue.Choice{
				{Text: "their changes, with yours over them", Command: string(MyLight)},
				{Text: "their changes; your trims stay unkept", Command: string(TheFiles)},
				{Text: "leave it for now", Command: string(NeverMind)},
			},
		},
	}}
}

func hasErrors(problems []files.Problem) bool { return firstError(problems) != "" }

func firstError(problems []files.Problem) string {
	for _, p := range problems {
		if !p.Warning {
			return p.String()
		}
	}
	return ""
}

// work is the edits of one command.
type work struct {
	edits  []files.Edit
	settle func(*files.Plan) *job // looks at the first plan; may ask, or change the edits
	job    job
}

// filingWork is what a command asks of the files.
func (m *moment) filingWork(c Command, f *files.Folder) (*work, *job) {
	switch {
	case m.player.Scene() == nil:
		return nil, refusal("no cue has been called yet; next calls the first")
	case m.layers().Cue < 0:
		return nil, refusal("the cue is no longer in the files, and its light stays as it is; go to another first")
	}
	switch c.Verb {
	case Keep, KeepHere, KeepEverywhere:
		return m.keepWork(c, f)
	case KeepAs, NewAngle:
		return m.newCueWork(c)
	case CopyTo:
		return m.copyWork(c)
	case Mirror:
		return m.mirrorWork(c)
	case SameLight:
		return m.sameLightWork(f)
	}
	return nil, refusal("%q is not to be had here", c.Verb)
}

// edits are the trims that play over the present cue, as edits of a cue.
func (m *moment) edits(of string, t trims, where files.Where, exceptions bool) []files.Edit {
	l := m.layers()
	entries := m.entries(l.Cue, &cue.Over{Looks: l.Looks, Trims: t})
	var out []files.Edit
	for _, i := range slices.Sorted(maps.Keys(entries)) {
		e := entries[i]
		edit := files.SetLight{Cue: of, Source: m.name(i), Level: e.Level, Colour: e.Colour, Change: e.Change, Where: where}
		if look := m.lookOver(i); exceptions && look >= 0 {
			edit.Look = m.shoot.Looks[look].Name
			if where == files.AtOrigin {
				edit.Cue = ""
			}
		}
		out = append(out, edit)
	}
	return out
}

// lookOver is the topmost look laid on by hand that says something of a source;
// -1 for none. What is kept of it then is an exception of that look, as the look
// goes over all that the cue says itself.
func (m *moment) lookOver(source int) int {
	l := m.layers()
	for _, look := range slices.Backward(l.Looks) {
		if _, says := m.shoot.Looks[look].Light[source]; says {
			return look
		}
		for i := range m.shoot.Cues[l.Cue].Exceptions {
			x := &m.shoot.Cues[l.Cue].Exceptions[i]
			if _, says := x.Light[source]; says && x.Look == m.shoot.Looks[look].Name {
				return look
			}
		}
	}
	return -1
}

// keepWork keeps the trims of the present cue in it.
func (m *moment) keepWork(c Command, f *files.Folder) (*work, *job) {
	l := m.layers()
	name := m.cueName(l.Cue)
	t := m.playing()
	switch {
	case l.Here != nil:
		return nil, refusal("no cue stands at %s yet; keep as NAME makes one with this light", degreesText(l.Here.Azimuth))
	case len(t) == 0 && len(m.aside[l.Cue]) > 0:
		return nil, refusal("the light is shown as it is kept; trimmed shows the trims, then keep")
	case len(t) == 0:
		return nil, refusal("the cue has no trims to keep")
	}
	w := &work{edits: m.edits(name, t, files.Here, true)}
	w.job.kept = []int{l.Cue}
	w.job.text = "kept in " + name
	if others := m.otherTrims(); others != "" {
		w.job.notices = append(w.job.notices, others)
	}
	switch c.Verb {
	case KeepEverywhere:
		w.edits = m.edits(name, t, files.AtOrigin, true)
		w.settle = func(p *files.Plan) *job {
			w.job.text = "kept; changed: " + cue.ShortList(p.Cues())
			return nil
		}
	case KeepHere:
		w.settle = func(p *files.Plan) *job {
			pins, loose := m.pins(name, t, p)
			w.edits = append(w.edits, pins...)
			if len(loose) > 0 {
				w.job.notices = append(w.job.notices, "what runs along a strip comes from there, and changes too: "+cue.ShortList(loose))
			}
			return nil
		}
	default:
		w.settle = func(p *files.Plan) *job { return m.askWhere(name, t, p, f) }
	}
	return w, nil
}

// pins hold the light of cues that come from the one that is kept as it was, to
// what is printed of it. A ramp cannot be held so: cues with one are loose.
func (m *moment) pins(name string, t trims, p *files.Plan) (pins []files.Edit, loose []string) {
	l := m.layers()
	entries := m.entries(l.Cue, &cue.Over{Looks: l.Looks, Trims: t})
	for _, other := range p.Cues() {
		i, then := m.shoot.CueIndex(other), p.Shoot().CueIndex(other)
		if i < 0 || m.shoot.Cues[i].From != name {
			continue
		}
		for _, source := range slices.Sorted(maps.Keys(t)) {
			light, after := &m.shoot.Resolved[i].Light[source], &p.Shoot().Resolved[then].Light[source]
			if light.Asked == after.Asked && slices.Equal(light.Cells, after.Cells) {
				continue
			}
			level, err := cue.ParseLevel(light.Level)
			if light.Cells != nil || err != nil {
				loose = append(loose, fmt.Sprintf("%s in %s", m.name(source), other))
				continue
			}
			pin := files.SetLight{Cue: other, Source: m.name(source), Level: &level}
			if entries[source].Colour != nil {
				spec := m.colourOf(light)
				pin.Colour = &spec
			}
			pins = append(pins, pin)
		}
	}
	return pins, loose
}

// askWhere asks where trims are kept if that is not plain: where other cues come
// from this one, or the light comes from a look or from another cue.
func (m *moment) askWhere(name string, t trims, here *files.Plan, f *files.Folder) *job {
	wide, err := f.Plan(m.edits(name, t, files.AtOrigin, true))
	if err != nil {
		return nil // there is one place to keep it
	}
	own := slices.Equal(here.Cues(), []string{name}) || len(here.Cues()) == 0
	if own && slices.Equal(wide.Cues(), here.Cues()) {
		return nil
	}
	q := &question{about: Keep}
	q.ask.Text = fmt.Sprintf("the light of %s is shared with other cues", name)
	q.ask.Details = []string{"everywhere changes " + cue.ShortList(wide.Cues())}
	q.ask.Choices = []cue.Choice{
		{Text: "in " + name + " only", Command: string(KeepHere)},
		{Text: fmt.Sprintf("in all %s", countOf(len(wide.Cues()), "cue")), Command: string(KeepEverywhere)},
		{Text: "as a new cue", Command: string(KeepAs) + " "},
		{Text: "leave it unkept", Command: string(NeverMind)},
	}
	return &job{question: q}
}

// otherTrims tells of the trims of other cues; "" where there are none.
func (m *moment) otherTrims() string {
	l := m.layers()
	var names []string
	for i := range m.shoot.Cues {
		if i != l.Cue && len(m.trimsOf(i)) > 0 {
			names = append(names, m.cueName(i))
		}
	}
	if len(names) == 0 {
		return ""
	}
	return "not yet kept: the trims of " + cue.ShortList(names)
}

// newCueWork makes a cue of the present light.
func (m *moment) newCueWork(c Command) (*work, *job) {
	if m.shoot.CueIndex(c.Name) >= 0 {
		return nil, refusal("there is a cue %q already; give the new one another name", c.Name)
	}
	l := m.layers()
	from := m.cueName(l.Cue)
	n := files.NewCue{Name: c.Name, From: from, After: from}
	azimuth := c.Azimuth.Degrees
	switch {
	case c.Verb == NewAngle:
		n.Azimuth = &azimuth
	case l.Here != nil:
		azimuth = l.Here.Azimuth
		n.Azimuth = &azimuth
	}
	for _, look := range l.Looks {
		n.Looks = append(n.Looks, m.shoot.Looks[look].Name)
	}
	w := &work{edits: append([]files.Edit{n}, m.edits(c.Name, m.playing(), files.Here, false)...)}
	w.job.looks = true
	w.job.kept = []int{l.Cue}
	w.job.to = c.Name
	w.job.text = fmt.Sprintf("the new cue %s has this light, and comes after %s", c.Name, from)
	return w, nil
}

// copyWork gives other cues the present light.
func (m *moment) copyWork(c Command) (*work, *job) {
	l := m.layers()
	from := m.cueName(l.Cue)
	w := &work{}
	for _, name := range c.Names {
		switch {
		case m.shoot.CueIndex(name) < 0:
			return nil, refusal("there is no cue %q", name)
		case name == from:
			return nil, refusal("%q is the cue itself", name)
		}
		w.edits = append(w.edits, files.CopyLight{From: from, To: name})
		w.edits = append(w.edits, m.edits(name, m.playing(), files.Here, false)...)
	}
	w.job.text = fmt.Sprintf("%s %s the light of %s now", cue.ShortList(c.Names), hasOrHave(len(c.Names)), from)
	w.settle = func(p *files.Plan) *job {
		var more []string
		for _, name := range p.Cues() {
			if !slices.Contains(c.Names, name) {
				more = append(more, name)
			}
		}
		if len(more) > 0 {
			w.job.notices = append(w.job.notices, "what comes from there changes too: "+cue.ShortList(more))
		}
		return nil
	}
	return w, nil
}

func hasOrHave(n int) string {
	if n == 1 {
		return "has"
	}
	return "have"
}

// mirrorWork puts the mirror image of the present light into the cue that stands
// the other way round, or into a new one.
func (m *moment) mirrorWork(c Command) (*work, *job) {
	l := m.layers()
	scene := m.player.Scene()
	if !scene.HasAngle {
		return nil, refusal("%q has no angle, and so no other side", m.cueName(l.Cue))
	}
	m.calc.Lock()
	twin := m.shoot.Mirror(m.renderer, scene)
	m.calc.Unlock()
	w := &work{}
	to := c.Name
	if to == "" {
		i, off := m.nearestBut(twin.Azimuth, l.Cue)
		if i < 0 || off > nearEnough {
			return nil, refusal("no cue stands at %s; mirror as NAME makes one", degreesText(twin.Azimuth))
		}
		to = m.cueName(i)
	} else {
		azimuth := twin.Azimuth
		w.edits = append(w.edits, files.NewCue{Name: to, After: m.cueName(l.Cue), Azimuth: &azimuth})
		w.job.to = to
	}
	w.edits = append(w.edits, m.twinEdits(to, twin)...)
	for _, s := range twin.Short {
		w.job.notices = append(w.job.notices, s)
	}
	w.job.text = fmt.Sprintf("%s has the mirror image of %s", to, m.cueName(l.Cue))
	return w, nil
}

// twinEdits are a mirror image as edits of a cue.
func (m *moment) twinEdits(to string, twin *cue.Twin) []files.Edit {
	var out []files.Edit
	key := m.shoot.Key()
	order := slices.Sorted(maps.Keys(twin.Light))
	slices.SortStableFunc(order, func(a, b int) int { // the key's first: others count from it
		switch {
		case a == key && b != key:
			return -1
		case b == key && a != key:
			return 1
		}
		return 0
	})
	for _, i := range order {
		e := twin.Light[i]
		out = append(out, files.SetLight{Cue: to, Source: m.name(i), Level: e.Level, Colour: e.Colour, Change: e.Change})
	}
	off := cue.Level{}
	if i := m.shoot.CueIndex(to); i >= 0 {
		for s := range m.shoot.Resolved[i].Light {
			if _, says := twin.Light[s]; !says && m.shoot.Resolved[i].Light[s].Asked.Y > 0 {
				out = append(out, files.SetLight{Cue: to, Source: m.name(s), Level: &off})
			}
		}
	}
	for _, p := range twin.Cards {
		place, away := p.Place, p.Out
		out = append(out, files.SetCard{Cue: to, Card: m.shoot.Cards[p.Card].Name, Place: &place, Out: &away})
	}
	for _, p := range twin.Places {
		place := p.Place
		out = append(out, files.SetPlace{Cue: to, Source: m.name(p.Source), Place: &place})
	}
	return out
}

// nearestBut is the cue nearest to an azimuth, one of them left out.
func (m *moment) nearestBut(azimuth float64, but int) (cueIndex int, off float64) {
	cueIndex, off = -1, 360
	for i := range m.shoot.Resolved {
		r := &m.shoot.Resolved[i]
		if d := abs(cue.Turn(r.Azimuth, azimuth)); i != but && r.HasAngle && d < off {
			cueIndex, off = i, d
		}
	}
	return cueIndex, off
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}
