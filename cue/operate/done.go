package operate

import (
	"limn/cue"
	"limn/cue/files"
)

// Done is a command that was accepted: what a journal needs to lead to the same
// again ([Engine.Replay]), and a log to tell the day.
type Done struct {
	K       int64
	Command Command
	Reply   Reply
	Mark    Mark

	// Auto: it came by itself, out of a sequence that an earlier command began. It
	// is for the log; a journal that holds the commands leads to it again.
	Auto bool
}

// Mark is what a command says to the log beside itself.
type Mark struct {
	Note  string   // that the operator wrote
	Kept  string   // what was kept, and where
	Files []string // that were written, or would have been

	Picture *PictureMark // that a sequence takes in this frame
}

// PictureMark is a picture that is to be taken: by a person who confirms it, or by a
// command that says "missed" with its reason, or "confirm".
type PictureMark struct {
	Entry, Of int       // which of how many, from 0
	Shot      *cue.Shot // read-only
	Take      int
	Image     int    // the camera's number; 0 = not told
	Name      string // for its files
	Text      string // "frame 3 of 7, focus 0.482 m: fire, confirm"
}

// Tell tells OnDone now of what has become due since it was last told anything, as
// Attend does by itself: for the end of a run.
func (e *Engine) Tell() {
	if e.options.OnDone == nil {
		return
	}
	e.telling.Lock()
	defer e.telling.Unlock()
	for {
		e.mu.Lock()
		done := e.done
		e.done = nil
		e.mu.Unlock()
		if len(done) == 0 {
			return
		}
		for _, d := range done {
			e.options.OnDone(d)
		}
	}
}

// Replay gives a command in the frame it acted in, as a journal has it: the same
// commands in the same frames, under the same files, lead to the same moment. It
// is for an engine that nobody asks for frames yet. What the command keeps is kept
// in the running shoot alone, and OnDone is not told.
func (e *Engine) Replay(k int64, text string) (Reply, error) {
	c, err := e.Parse(text)
	if err != nil {
		return Reply{}, err
	}
	e.do.Lock()
	defer e.do.Unlock()
	e.mu.Lock()
	e.filled = max(e.filled, k-1)
	e.mu.Unlock()
	before := e.options
	e.options.Write, e.options.OnDone = false, nil
	defer func() { e.options = before }()
	return e.doAt(k, c), nil
}

// StartAt makes frame k the next to be filled: after Replay, the run goes on
// there. It does nothing where later frames were filled already.
func (e *Engine) StartAt(k int64) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.filled = max(e.filled, k-1)
}

// TableAt tells where the table is, in degrees, to light that follows it, at the next
// frame: for a stream of azimuths, which would be too many commands. OnDone is not told;
// a journal has them as they came, and gives them to it again.
func (e *Engine) TableAt(degrees float64) Reply {
	e.do.Lock()
	defer e.do.Unlock()
	for {
		e.mu.Lock()
		m, next := e.now, e.filled+1
		e.mu.Unlock()
		to := m.next()
		r := Reply{K: next}
		if to.told(to.player.Azimuth(next, degrees), &r); r.Refused {
			return r
		}
		e.mu.Lock()
		if e.now == m && e.filled+1 == next {
			e.now, e.ahead = to, nil
			e.mu.Unlock()
			return r
		}
		e.mu.Unlock()
	}
}

// Onto makes what is kept from here on go to another folder, which holds the files
// being played: after Replay over the files that a journal has, the one on disk.
func (e *Engine) Onto(folder *files.Folder, write bool) {
	e.do.Lock()
	defer e.do.Unlock()
	e.options.Folder, e.options.Write = folder, write
}

// Warn leaves a warning standing until it is called off with ok: a disk that is
// full, files that have errors.
func (e *Engine) Warn(text string, ok bool) {
	e.mu.Lock()
	defer e.mu.Unlock()
	kept := make([]string, 0, len(e.warnings)+1)
	for _, w := range e.warnings {
		if w != text {
			kept = append(kept, w)
		}
	}
	if !ok {
		kept = append(kept, text)
	}
	e.warnings = kept
}
