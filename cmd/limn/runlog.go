package main

import (
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"limn/cue/files"
	"limn/cue/journal"
	"limn/cue/operate"
)

// recorder hands what a run does to its journal, in the order in which it acts, and to the
// desk.
type recorder struct {
	dir    string
	folder *files.Folder
	engine *operate.Engine
	acts   acts
	byHand atomic.Int64 // the frame in which the operator last changed light

	mu      sync.Mutex
	journal *journal.Journal
	on      bool           // what is done is recorded; not while an earlier run is played again
	aside   bool           // what is done waits for an azimuth to be entered before or after it
	held    []operate.Done //
	unkept  string         // the keep that met somebody else's edit

	warnings  sync.Mutex
	standing  []string // that stay for the whole run
	ofJournal string   // what is wrong with the journal now
}

func newRecorder(dir string, folder *files.Folder) *recorder {
	r := &recorder{dir: dir, folder: folder, acts: acts{ready: make(chan struct{}, 1)}}
	r.byHand.Store(-1 << 32) // long ago
	return r
}

// begin records from here on.
func (r *recorder) begin(j *journal.Journal) {
	r.engine.Tell() // what was done before is not told again
	r.mu.Lock()
	defer r.mu.Unlock()
	r.journal, r.on = j, true
}

// end closes the journal: the run ended cleanly. The error is for the operator.
func (r *recorder) end() error {
	r.engine.Tell()
	r.mu.Lock()
	defer r.mu.Unlock()
	r.on = false
	return r.journal.Close(r.engine.NextFrame() - 1)
}

// done takes a command that was accepted; see operate.Options.OnDone.
func (r *recorder) done(d operate.Done) {
	r.mu.Lock()
	defer r.mu.Unlock()
	switch {
	case !r.on:
	case r.aside:
		r.held = append(r.held, d)
	default:
		r.enter(d)
	}
}

// enter puts one command into the journal. mu is held.
func (r *recorder) enter(d operate.Done) {
	r.acts.put(d)
	if d.Auto {
		return // it comes again with the command that began it
	}
	if ownKey(d.Command.Verb) {
		r.byHand.Store(d.K)
	}
	switch v := d.Command.Verb; {
	case asksMine(d.Reply.Ask):
		// Played again nobody would have edited the files in between: what counts is what was answered.
		if v != operate.MyLight {
			r.unkept = d.Command.String()
		}
	case v == operate.Reload || v == operate.TheFiles:
		r.journal.Reload(d.K, r.files())
	case v == operate.MyLight:
		r.journal.Reload(d.K, r.files())
		r.journal.Command(d.K, r.unkept)
	default:
		r.journal.Command(d.K, d.Command.String())
		if len(d.Mark.Files) > 0 {
			r.journal.Kept(d.K, r.files())
		}
	}
}

// asksMine says whether a command met somebody else's edit.
func asksMine(a *operate.Ask) bool {
	if a == nil {
		return false
	}
	for _, c := range a.Choices {
		if c.Command == string(operate.MyLight) {
			return true
		}
	}
	return false
}

// azimuth tells the engine where the table is, and the journal in the right place among the
// commands. It is called by the goroutine that gives commands.
func (r *recorder) azimuth(degrees float64) operate.Reply {
	r.engine.Tell()
	r.mu.Lock()
	r.aside = true
	r.mu.Unlock()
	reply := r.engine.TableAt(degrees)
	r.engine.Tell()
	r.mu.Lock()
	defer r.mu.Unlock()
	// What the queue brought into the same frame came when the frame was made: after it.
	first := slices.IndexFunc(r.held, func(d operate.Done) bool { return d.K >= reply.K })
	if first < 0 {
		first = len(r.held)
	}
	for _, d := range r.held[:first] {
		r.enter(d)
	}
	if !reply.Refused {
		r.journal.Azimuth(reply.K, degrees)
	}
	for _, d := range r.held[first:] {
		r.enter(d)
	}
	r.held, r.aside = nil, false
	return reply
}

func (r *recorder) files() journal.Files { return shootFiles(r.folder, r.dir) }

// shootFiles is all of a shoot that bears on light: what it was read from, and what was approved,
// which "as sent" plays.
func shootFiles(folder *files.Folder, dir string) journal.Files {
	texts := folder.Texts()
	entries, _ := os.ReadDir(filepath.Join(dir, files.ApprovedDir))
	for _, e := range entries {
		if !e.Type().IsRegular() || !strings.HasSuffix(e.Name(), ".json") {
			continue
		}
		if b, err := readBounded(filepath.Join(dir, files.ApprovedDir, e.Name())); err == nil {
			texts[files.ApprovedDir+"/"+e.Name()] = b
		}
	}
	return journal.FilesOf(texts)
}

func readBounded(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, journal.MaxFile))
}

// journalWarns is told what is wrong with the journal, "" when all is well again.
func (r *recorder) journalWarns(text string) {
	r.warnings.Lock()
	defer r.warnings.Unlock()
	if r.ofJournal != "" {
		r.engine.Warn(r.ofJournal, true)
	}
	if r.ofJournal = text; text != "" {
		r.engine.Warn(text, false)
	}
}

// stand raises a warning for the whole run.
func (r *recorder) stand(text string) {
	r.warnings.Lock()
	defer r.warnings.Unlock()
	r.standing = append(r.standing, text)
	r.engine.Warn(text, false)
}

// isOwn says whether a warning is the recorder's, and known to the journal or about it.
func (r *recorder) isOwn(text string) bool {
	r.warnings.Lock()
	defer r.warnings.Unlock()
	return text == r.ofJournal || slices.Contains(r.standing, text)
}

// rewarn raises again what stands: a change of the folder takes all warnings back.
func (r *recorder) rewarn() {
	r.warnings.Lock()
	defer r.warnings.Unlock()
	for _, text := range r.standing {
		r.engine.Warn(text, false)
	}
	if r.ofJournal != "" {
		r.engine.Warn(r.ofJournal, false)
	}
}

// maxActs bounds what waits for the desk, which looks at it at once.
const maxActs = 10_000

// acts are the commands done, on their way to the desk.
type acts struct {
	mu    sync.Mutex
	list  []operate.Done
	ready chan struct{} // holds a token while the list is not empty
}

func (a *acts) put(d operate.Done) {
	a.mu.Lock()
	if len(a.list) < maxActs {
		a.list = append(a.list, d)
	}
	a.mu.Unlock()
	select {
	case a.ready <- struct{}{}:
	default:
	}
}

func (a *acts) take() []operate.Done {
	a.mu.Lock()
	defer a.mu.Unlock()
	list := a.list
	a.list = nil
	return list
}
