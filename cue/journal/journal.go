package journal

import (
	"fmt"
	"os"
	"runtime"
	"sync"
	"sync/atomic"
	"time"
)

// Options of a journal.
type Options struct {
	Program  string            // version of the program, as it tells it
	Epoch    time.Time         // the instant of frame 0
	Rate     int               // frames a second
	Files    Files             // what the shoot was read from
	Settings map[string]string // all else that bears on frames; not changed afterwards

	// Reached is the last frame that was made, -1 before the first. The journal's
	// goroutine asks for it; nil: nobody can say.
	Reached func() int64

	// OnWarning is told when Warning changes for the better or worse, "" when
	// all is well again. It is called from the journal's goroutine.
	OnWarning func(text string)

	Now  func() time.Time // nil: time.Now
	Disk Disk             // nil: the operating system's
}

// Journal takes the entries of one run. Its methods may be called from any
// goroutine; none but Close waits for a disk. A nil Journal keeps nothing.
type Journal struct {
	options Options
	queue   queue
	wake    chan struct{} // something is queued
	end     chan struct{} // closed by Close
	done    chan struct{} // closed by the goroutine
	endK    int64         // of Close; to be read after end

	closing  sync.Once
	place    atomic.Pointer[string]
	standing standing
	endErr   error // of the goroutine; to be read after done
}

// Begin opens the journal of a new run of the shoot in dir. It returns at once and
// cannot fail: what goes wrong is told by Warning, and tried again.
func Begin(dir string, o Options) *Journal {
	j := newJournal(o)
	w := &writer{disk: j.options.Disk, folder: Folder(dir)}
	j.put(j.withFiles(Entry{What: KindBegin, K: -1, Header: j.header()}, o.Files))
	go j.work(w, nil)
	return j
}

// Continue goes on with the journal of a run that ended uncleanly, after the
// frame it had reached. Options.Epoch is that from which frames count from now on;
// Options.Files are those that the run had last, nil if they are kept already.
func Continue(run *Run, o Options) *Journal {
	j := newJournal(o)
	w := goingOn(j.options.Disk, run)
	j.put(j.withFiles(Entry{What: KindResume, K: run.Reached, Header: j.header()}, o.Files))
	go j.work(w, run)
	return j
}

func newJournal(o Options) *Journal {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Disk == nil {
		o.Disk = osDisk{}
	}
	return &Journal{options: o, wake: make(chan struct{}, 1), end: make(chan struct{}), done: make(chan struct{})}
}

func (j *Journal) header() *Header {
	return &Header{
		Version: Version, Program: j.options.Program, Arch: runtime.GOARCH, PID: os.Getpid(),
		Rate: j.options.Rate, Epoch: j.options.Epoch, Settings: j.options.Settings,
	}
}

// Command takes a command as the grammar has it, with the frame it acts in. The
// order of calls is the order in which commands of one frame act.
func (j *Journal) Command(k int64, text string) { j.text(KindCommand, k, text) }

// Warned takes a warning that the operator was shown.
func (j *Journal) Warned(k int64, text string) { j.text(KindWarning, k, text) }

func (j *Journal) text(what Kind, k int64, text string) {
	if j == nil {
		return
	}
	if len(text) > MaxText {
		j.lose(k)
		return
	}
	j.put(&item{entry: Entry{What: what, K: k, Time: j.options.Now(), Text: text}})
}

// lose counts what cannot be taken, in its place.
func (j *Journal) lose(k int64) {
	j.queue.mu.Lock()
	j.queue.lose(k, false)
	j.queue.mu.Unlock()
	j.ring()
}

// Reload takes the files that a change of the folder brought, fading in from frame k on.
// The bytes must not change afterwards.
func (j *Journal) Reload(k int64, files Files) { j.files(KindReload, k, files) }

// Kept takes the files as they are after a command wrote into them, which changes no
// light: a resume compares the folder with them. The bytes must not change afterwards.
func (j *Journal) Kept(k int64, files Files) { j.files(KindKept, k, files) }

func (j *Journal) files(what Kind, k int64, files Files) {
	if j == nil {
		return
	}
	j.put(j.withFiles(Entry{What: what, K: k}, files))
}

// withFiles is an entry with files; one whose files cannot be kept says so in
// their stead.
func (j *Journal) withFiles(e Entry, files Files) *item {
	e.Time = j.options.Now()
	if err := files.check(); err != nil {
		e.Text, files = err.Error(), nil
		j.standing.note("this run cannot be resumed or played again as it was: " + e.Text)
	}
	return &item{entry: e, files: files}
}

// Azimuth takes the angle the table had in frame k, in degrees, to the last bit.
// It allocates nothing. An angle that is no number is not taken: it moves no light.
func (j *Journal) Azimuth(k int64, degrees float64) {
	if j == nil || !isFinite(degrees) {
		return
	}
	j.put(&item{entry: Entry{What: KindAzimuth, K: k, Degrees: degrees}})
}

// Settled takes the set as the light settled on it. What s points to must not
// change afterwards.
func (j *Journal) Settled(k int64, s State) {
	if j == nil {
		return
	}
	s = s.finite()
	j.put(&item{entry: Entry{What: KindSettle, K: k, Time: j.options.Now(), State: &s}})
}

// Captured takes an image, or the failed attempt at one. What c points to must not change
// afterwards.
func (j *Journal) Captured(k int64, c Capture) {
	if j == nil {
		return
	}
	c.State = c.State.finite()
	j.put(&item{entry: Entry{What: KindCapture, K: k, Time: j.options.Now(), Capture: &c}})
}

func (j *Journal) put(it *item) {
	j.queue.put(it)
	j.ring()
}

func (j *Journal) ring() {
	select {
	case j.wake <- struct{}{}:
	default:
	}
}

// Path is the journal's file; "" as long as there is none.
func (j *Journal) Path() string {
	if j == nil {
		return ""
	}
	if p := j.place.Load(); p != nil {
		return *p
	}
	return ""
}

// Close ends the journal cleanly in frame k, so that the run is not resumed. It
// waits for the disk, but not longer than EndWithin; its error says that the end
// is not on record.
func (j *Journal) Close(k int64) error {
	if j == nil {
		return nil
	}
	j.closing.Do(func() {
		j.endK = k
		close(j.end)
	})
	limit := time.NewTimer(EndWithin)
	defer limit.Stop()
	select {
	case <-j.done:
		return j.endErr
	case <-limit.C:
		return fmt.Errorf("the journal's disk does not answer; the end of this run is not on record")
	}
}
