package steps

import (
	"fmt"
	"math"

	"limn/cue"
)

// Stepper runs a sequence: it says what comes next and at which frame. It has no clock: all it
// answers is a function of the sequence and of what was reported, with the frames. It is a
// value: a copy is a state to come back to. It is for one goroutine.
//
// The engine asks Next after every change, does the deed at its frame, and says so with
// Did. What people and cameras do is reported with Say and Captured.
type Stepper struct {
	q      *cue.Sequence
	shots  []cue.Shot
	frames func(float64) int64
	dry    bool

	entry  int
	take   int
	image  int
	phase  phase
	since  int64 // frame at which the phase began
	frame  int64 // frame at which the present frame of a time lapse began; -1 before the first
	framed int   // entry that began it; -1 none
	called int   // entry whose light stands; -1 none
	paused bool
	failed string
}

type phase uint8

const (
	toCall  phase = iota // the light of the entry is to be called
	resting              // it stands, or comes up
	taking               // its picture is being taken

	toReady   // a moving shot: whether the table may move to its start
	mayReady  // it may
	readying  // it does
	armed     // whether the camera is rolling
	toRoll    // it is
	rolling   // the table turns
	holding   // it has arrived: whether to cut
	toStop    // cut early
	stopping  // the table comes to rest
	mayReturn // whether it may move back
	toReturn  // it may
	returning // it does

	over
)

// New makes the stepper of a sequence told out by [cue.Shoot.Expand].
func New(q *cue.Sequence, shots []cue.Shot, o Options) *Stepper {
	t := &Stepper{
		q: q, shots: shots, frames: o.Frames, dry: o.Dry, take: max(o.Take, 1), image: max(o.Image, 0),
		entry: min(max(o.Entry, 0), len(shots)), frame: -1, framed: -1, called: -1,
	}
	if t.frames == nil {
		t.frames = func(s float64) int64 { return int64(math.Ceil(s * 44)) }
	}
	if q.By == cue.ByAngle {
		t.phase = toReady
	}
	if t.entry >= len(shots) {
		t.phase = over
	}
	return t
}

// Entry is the present entry, from 0; as many as there are when it is over.
func (t *Stepper) Entry() int { return t.entry }

// Take is the number of the present take.
func (t *Stepper) Take() int { return t.take }

// Done says that the sequence has ended.
func (t *Stepper) Done() bool { return t.phase == over }

// Trouble is why it does not go on: "" while it does. The light stays as it is.
func (t *Stepper) Trouble() string {
	switch {
	case t.failed != "":
		return t.failed
	case t.paused:
		return "paused"
	}
	return ""
}

// Refuse stops the sequence where it is, with the reason: of what flashes too often, for one.
func (t *Stepper) Refuse(why string) { t.failed = why }

// Number tells the number of the camera's next picture; 0 = not told.
func (t *Stepper) Number(image int) { t.image = max(image, 0) }

// Next says what comes next and at which frame, never before that of the facts; a deed of Rest with
// frame -1 comes when something is reported.
func (t *Stepper) Next(f Facts) (Deed, int64) {
	if t.Trouble() != "" {
		return t.deed(Rest, t.Trouble()), -1
	}
	if t.q.By == cue.ByAngle {
		return t.moving(f)
	}
	switch t.phase {
	case toCall:
		return t.deed(CallCue, ""), f.K
	case resting:
		return t.afterRest(f)
	case taking:
		return t.deed(Rest, t.prompt()), -1
	}
	return t.deed(Over, "the sequence is over"), f.K
}

// afterRest is what comes once the light of an entry has settled.
func (t *Stepper) afterRest(f Facts) (Deed, int64) {
	if f.SettledAt < 0 {
		return t.deed(Rest, "waiting for hands"), -1
	}
	shot := &t.shots[t.entry]
	settled := max(f.SettledAt, t.since)
	if t.q.By == cue.ByFrame {
		due := settled
		if t.frame >= 0 && t.startsFrame() {
			due = max(due, t.frame+t.frames(t.q.Pictures.Interval.Seconds))
		}
		return t.deed(TakePicture, t.prompt()), max(due, f.K)
	}
	if shot.Stay < 0 {
		return t.deed(Rest, "waiting for the word"), -1
	}
	due := max(settled+t.frames(shot.Stay), f.K)
	next := *t
	next.entry++
	if next.entry >= len(t.shots) {
		return next.deed(Over, "the sequence is over"), due
	}
	return next.deed(CallCue, ""), due
}

// startsFrame says that the entry is the first picture of a frame of a time lapse.
func (t *Stepper) startsFrame() bool {
	if t.entry == 0 {
		return true
	}
	a, b := &t.shots[t.entry-1], &t.shots[t.entry]
	return a.Frame != b.Frame || a.Cue != b.Cue
}

// Did says that the engine did the action at frame k. Of a Rest that had a frame, it says that the frame
// has come.
func (t *Stepper) Did(a Action, k int64) {
	to := func(p phase) { t.phase, t.since = p, k }
	switch a {
	case CallCue:
		if t.phase == resting { // the rest is over
			t.entry++
		}
		t.called = t.entry
		to(resting)
	case TakePicture:
		if t.startsFrame() && t.framed != t.entry { // taken anew, it is still the same frame
			t.frame, t.framed = k, t.entry
		}
		to(taking)
		if t.dry {
			t.advance(k)
		}
	case Ready:
		to(readying)
	case Roll:
		to(rolling)
	case HoldEnd:
		to(holding)
	case StopTable:
		to(stopping)
	case GoBack:
		to(returning)
	case Over:
		t.entry = len(t.shots)
		to(over)
	case Rest:
		switch t.phase {
		case readying:
			to(armed)
		case stopping:
			t.afterShot(k)
		case returning:
			to(over)
		}
	}
}

// Captured reports the picture of the present entry: "" = taken, else why not, which pauses the sequence
// with its light as it is. It is passed over while no picture is being taken.
func (t *Stepper) Captured(k int64, failure string) {
	if t.phase != taking {
		return
	}
	if failure != "" {
		t.failed = failure
		return
	}
	if t.image > 0 {
		t.image++
	}
	t.advance(k)
}

// advance goes to the next entry.
func (t *Stepper) advance(k int64) {
	t.entry++
	t.since = k
	switch {
	case t.entry >= len(t.shots):
		t.phase = over
	case t.sameLight(t.called, t.entry):
		t.phase = resting
	default:
		t.phase = toCall
	}
}

// sameLight says that two entries have the same light, so that nothing is to be called between them.
func (t *Stepper) sameLight(a, b int) bool {
	return a >= 0 && t.shots[a].Cue == t.shots[b].Cue && t.shots[a].Alone == t.shots[b].Alone
}

// Say takes the operator's word at frame k. It says whether the word had a meaning.
func (t *Stepper) Say(w Word, k int64) bool {
	switch w {
	case Pause:
		t.paused = true
		return t.phase != over
	case Continue:
		if t.Trouble() == "" {
			return false
		}
		t.paused = false
		if t.failed != "" {
			t.failed = ""
			if t.phase == taking { // the same picture once more
				t.phase, t.since = resting, k
			}
		}
		return true
	case Onward:
		return t.onward(k)
	case Confirm:
		switch t.phase {
		case toReady:
			if !t.motor() {
				return false
			}
			t.phase, t.since = mayReady, k
			return true
		case mayReturn:
			t.phase, t.since = toReturn, k
			return true
		case taking: // the person who takes the picture
			t.Captured(k, "")
			return true
		}
	case Rolling:
		if t.phase == armed {
			t.phase, t.since = toRoll, k
			return true
		}
	case Cut:
		switch t.phase {
		case rolling, toRoll:
			t.phase, t.since = toStop, k
			if !t.motor() { // it is not ours to stop
				t.afterShot(k)
			}
			return true
		case holding:
			t.afterShot(k)
			return true
		}
	case Again:
		if t.q.By == cue.ByAngle && t.phase == over {
			t.take++
			t.entry, t.phase, t.since, t.failed, t.paused = 0, toReady, k, "", false
			return true
		}
	}
	return false
}

// onward leaves the present entry.
func (t *Stepper) onward(k int64) bool {
	if t.q.By == cue.ByAngle || t.phase == over {
		return false
	}
	t.failed, t.paused = "", false
	t.advance(k)
	return true
}

// deed is an action on the present entry.
func (t *Stepper) deed(a Action, text string) Deed {
	d := Deed{Action: a, Entry: -1, Take: t.take, Dry: t.dry, Text: text}
	if t.entry < len(t.shots) {
		d.Entry, d.Shot = t.entry, &t.shots[t.entry]
		d.Name = d.Shot.TakeName(t.take)
		if a == TakePicture {
			d.Image = t.image
		}
	}
	return d
}

// prompt tells a person what to do for the present picture.
func (t *Stepper) prompt() string {
	text := t.shots[t.entry].Say(len(t.shots), t.entry+1)
	if t.dry {
		return text + ", dry run"
	}
	if t.image > 0 {
		return fmt.Sprintf("%s, image %d: fire, confirm", text, t.image)
	}
	return text + ": fire, confirm"
}
