package operate

import (
	"path/filepath"
	"strings"
	"time"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/timeline"
	"limn/fixtures"
)

// present refuses what needs a cue of the files where none is present; nil where
// one is.
func (m *moment) present() *job {
	switch {
	case m.player.Scene() == nil:
		return refusal("no cue has been called yet; next calls the first")
	case m.layers().Cue < 0:
		return refusal("the cue is no longer in the files; go to another first")
	case m.layers().Here != nil:
		return refusal("no cue stands at %s yet; keep as NAME makes one", degreesText(m.layers().Here.Azimuth))
	}
	return nil
}

// planApproval stores what is being sent with the present cue.
func (e *Engine) planApproval(m *moment) *job {
	if j := m.present(); j != nil {
		return j
	}
	e.mu.Lock()
	shown, k := e.shown, e.filled
	e.mu.Unlock()
	l := m.layers()
	switch st := shown.settledAt(k); {
	case shown.set != m.set || shown.layers().Cue != l.Cue:
		return refusal("the cue is only being called; approve it once it has settled")
	case l.Dark || l.Work || l.Alone >= 0 || l.Aim >= 0 || l.Identify >= 0 || len(l.Without) > 0 || l.Whole != 0:
		return refusal("what is being sent is not the cue: end dark, work light, alone, without and the like first")
	case st < 0 || st > k:
		return refusal("the light has not settled yet; approve it once it has")
	}
	frames := shown.slots(k)
	m.calc.Lock()
	a := files.NewApproval(m.shoot, shown.player.Scene(), m.renderer, frames)
	m.calc.Unlock()
	j := &job{text: "approved as " + m.cueName(l.Cue) + " is now"}
	j.mark.Kept = "approval of " + m.cueName(l.Cue)
	if len(m.playing()) > 0 {
		j.notices = append(j.notices, "its trims are not kept yet; keep them, or the files will give another light")
	}
	if !e.options.Write {
		j.text += "; nothing is written (without --write)"
		return j
	}
	if err := e.options.Folder.Approve(a, files.By{What: string(Approve)}); err != nil {
		return refusal("%v", err)
	}
	j.mark.Files = []string{a.File}
	return j
}

// slots are those of frame k.
func (m *moment) slots(k int64) [][fixtures.UniverseSize]byte {
	m.calc.Lock()
	defer m.calc.Unlock()
	state := m.player.NewState()
	m.player.At(k, state)
	frames := make([][fixtures.UniverseSize]byte, len(m.renderer.Universes()))
	m.renderer.Render(state, frames)
	return frames
}

// planPicture attaches a picture to the approval of the present cue: one that is
// called a set photo is one, any other an approved frame.
func (e *Engine) planPicture(m *moment, c Command) *job {
	if j := m.present(); j != nil {
		return j
	}
	kind := files.ApprovedFrame
	if base := strings.ToLower(filepath.Base(c.Name)); strings.Contains(base, "set") {
		kind = files.SetPhoto
	}
	if !e.options.Write {
		return &job{text: c.Name + " is not attached (without --write)"}
	}
	p, err := e.options.Folder.Attach(m.cueName(m.layers().Cue), kind, c.Name)
	if err != nil {
		return refusal("%v", err)
	}
	j := &job{text: p.Name + " is with the approval of " + m.cueName(m.layers().Cue) + ", as its " + kind}
	j.mark.Files = []string{p.File}
	return j
}

// approval is that of the present cue.
func (m *moment) approval(f *files.Folder) (*files.Approval, *job) {
	if j := m.present(); j != nil {
		return nil, j
	}
	of, _, err := f.Approvals()
	if err != nil {
		return nil, refusal("the approvals cannot be read: %v", err)
	}
	i := f.Shoot().CueIndex(m.cueName(m.layers().Cue))
	if a := of[i]; a != nil {
		return a, nil
	}
	return nil, refusal("%s is not approved; approve stores what is being sent", m.cueName(m.layers().Cue))
}

// planAsSent plays the present cue in the slots that were approved.
func (e *Engine) planAsSent(m *moment) *job {
	a, bad := m.approval(e.options.Folder)
	if bad != nil {
		return bad
	}
	slots, missing := a.Slots(m.shoot)
	if len(slots) == 0 {
		return refusal("nothing that was approved is patched now as it was")
	}
	j := &job{sent: &timeline.Sent{Slots: slots}, text: "as it was sent; undo, or same light, goes by the files again"}
	if len(missing) > 0 {
		j.notices = append(j.notices, "played by the files, as it is another light now: "+cue.ShortList(missing))
	}
	m.calc.Lock()
	defer m.calc.Unlock()
	for _, d := range a.AsSent(m.shoot, m.renderer) {
		j.notices = append(j.notices, d.Text)
	}
	return j
}

// sameLightWork writes what gives the approved light with the lights as they are
// known now.
func (m *moment) sameLightWork(f *files.Folder) (*work, *job) {
	a, bad := m.approval(f)
	if bad != nil {
		return nil, bad
	}
	i := m.layers().Cue
	m.calc.Lock()
	edits, short := a.SameLight(m.shoot, &m.shoot.Resolved[i], m.renderer)
	m.calc.Unlock()
	w := &work{edits: edits}
	w.job.notices = short
	w.job.unsent = true
	w.job.text = "the light that was approved, written for the lights as they are now"
	if len(edits) == 0 {
		w.job.text = "the files give the light that was approved"
	}
	return w, nil
}

// compared tells how a cue differs from what was approved.
func (e *Engine) compared(m *moment) []string {
	if e.options.Folder == nil || m.present() != nil || m.layers().Sent[m.layers().Cue] != nil {
		return nil
	}
	a, bad := m.approval(e.options.Folder)
	if bad != nil {
		return nil
	}
	m.calc.Lock()
	defer m.calc.Unlock()
	var out []string
	for _, d := range a.Compare(m.shoot, m.player.Scene(), m.renderer) {
		out = append(out, d.Text)
	}
	return out
}

// Recall is what to look at before the present cue is taken again: marks, camera,
// how it differs from what was approved, and how long each lit source has burned
// against its warm-up. lit is by source; nil before the first cue.
func (e *Engine) Recall(lit map[int]time.Duration) []files.Check {
	m := e.current()
	scene := m.player.Scene()
	if scene == nil {
		return nil
	}
	var a *files.Approval
	if e.options.Folder != nil && m.present() == nil {
		a, _ = m.approval(e.options.Folder)
	}
	m.calc.Lock()
	defer m.calc.Unlock()
	return files.Recall(m.shoot, scene, a, lit, m.renderer)
}
