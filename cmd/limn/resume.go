package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/journal"
	"limn/cue/operate"
	"limn/cue/timeline"
	"limn/dmx/pace"
)

// seat is a shoot ready to be played: anew, or as an interrupted run left it.
type seat struct {
	dir      string
	folder   *files.Folder
	engine   *operate.Engine
	recorder *recorder
	lock     *journal.Lock

	run    *journal.Run // that is taken up; nil: a new one
	first  int64        // frame that comes next
	edited *cue.Shoot   // what the folder holds now, to fade in once it plays; nil: the same

	faults   int      // of the folder's files
	warnings []string // that stay up
}

// sit reads a shoot and takes up its last run, if that ended uncleanly and fresh does not say
// otherwise. agree asks the operator.
func sit(dir string, f *runFlags, std stdio, agree func(question string) bool) (*seat, error) {
	folder, shoot, faults, err := readFolder(dir, std)
	if err != nil {
		return nil, err
	}
	s := &seat{dir: dir, folder: folder, faults: faults, recorder: newRecorder(dir, folder)}
	var busy *journal.BusyError
	switch s.lock, err = journal.Acquire(dir); {
	case errors.As(err, &busy):
		return nil, failuref(statusFailed, "end the other one first", "%v", busy)
	case err != nil:
		s.warnings = append(s.warnings, fmt.Sprintf("a second run of this shoot would not be noticed: %v", err))
	}
	if err := s.takeUp(shoot, f, std, agree); err != nil {
		s.lock.Release()
		return nil, err
	}
	if s.engine == nil {
		if err := s.anew(shoot); err != nil {
			s.lock.Release()
			return nil, err
		}
	}
	s.recorder.engine = s.engine
	return s, nil
}

// readFolder reads a shoot that may be kept into. Its shoot is nil where it has errors, which
// have been told: an interrupted run still has its own files.
func readFolder(dir string, std stdio) (folder *files.Folder, shoot *cue.Shoot, faults int, err error) {
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		_, err := openShoot(dir, std) // which says so
		return nil, nil, 0, err
	}
	folder, shoot, problems, err := files.Open(dir)
	if err != nil {
		return nil, nil, 0, failuref(statusFiles, "", "cannot read the folder %s: %v", dir, pathCause(err))
	}
	if faults, _ = printProblems(std.Err, problems); faults > 0 {
		shoot = nil
	}
	return folder, shoot, faults, nil
}

// anew makes the engine of a new run.
func (s *seat) anew(shoot *cue.Shoot) error {
	if shoot == nil {
		return failuref(statusFiles, fmt.Sprintf("limn check %s lists what is wrong and what was read", s.dir),
			"%s has %s; nothing was sent", s.dir, count(s.faults, "fault"))
	}
	var err error
	s.engine, err = operate.New(shoot, operate.Options{Folder: s.folder, Write: true, OnDone: s.recorder.done})
	return err
}

// takeUp takes up the last run, if there is one to take up.
func (s *seat) takeUp(shoot *cue.Shoot, f *runFlags, std stdio, agree func(string) bool) error {
	run, err := journal.Last(s.dir)
	if err != nil {
		s.warnings = append(s.warnings, fmt.Sprintf("the journal of the last run cannot be read, so it is not taken up: %v", err))
		return nil
	}
	hash := ""
	var present journal.Files
	if shoot != nil {
		present = shootFiles(s.folder, s.dir)
		hash = present.Hash()
	}
	way, text := run.Resume(hash)
	if way == journal.Fresh {
		if text != "" {
			note(std.Err, "%s", text)
		}
		return nil
	}
	switch {
	case f.fresh:
		note(std.Err, "the run that broke off is left alone: %s", run.Path)
		return nil
	case f.given():
		return usagef("--fresh plays the program from its start; without a program the run is taken up where it was",
			"the last run broke off, and a program cannot go on in the middle")
	}
	if text != "" {
		note(std.Err, "%s", text)
	}
	first, kept := present, func(string) (journal.Files, error) { return present, nil }
	if way == journal.Unsure {
		if shoot == nil || !agree("Give its commands over the present files?") {
			note(std.Err, "the run that broke off is left alone: %s", run.Path)
			return nil
		}
	} else {
		kept = run.Files
		if first, err = run.FirstFiles(); err != nil {
			return failuref(statusFailed, "--fresh begins anew", "the run that broke off cannot be taken up: %v", err)
		}
	}
	a, err := playAgain(s.dir, first, kept, s.recorder.done)
	if err != nil {
		return failuref(statusFailed, "--fresh begins anew", "the run that broke off cannot be taken up: %v", err)
	}
	s.recorder.engine = a.engine
	if err := a.rebuild(run, std.Err); err != nil {
		return err
	}
	s.engine, s.run, s.first = a.engine, run, a.engine.NextFrame()
	s.engine.Onto(s.folder, true)
	if way == journal.Changed {
		s.edited = shoot
	}
	return nil
}

// rebuild leads the engine to where a run broke off. What cannot be done again is told.
func (a *again) rebuild(run *journal.Run, w io.Writer) error {
	for s, err := range run.Steps() {
		if err != nil {
			note(w, "the journal cannot be read further: %v", err)
			break
		}
		err := a.step(s)
		var step *stepError
		if errors.As(err, &step) {
			note(w, "not taken up: %s", step)
		} else if err != nil {
			return err
		}
	}
	if err := a.to(run.Reached + 1); err != nil {
		return err
	}
	a.engine.StartAt(run.Reached + 1)
	return nil
}

// record begins the journal, or goes on with that of the run that was taken up. It is called
// once the light may be driven. word is what the operator must know of it, if anything.
func (s *seat) record() (word string) {
	o := journal.Options{
		Program:   versionText(),
		Epoch:     time.Now().Add(-pace.Offset(s.first)),
		Rate:      timeline.Rate,
		Reached:   func() int64 { return s.engine.NextFrame() - 1 },
		OnWarning: s.recorder.journalWarns,
	}
	var j *journal.Journal
	if s.run != nil {
		j = journal.Continue(s.run, o)
	} else {
		o.Files = s.recorder.files()
		j = journal.Begin(s.dir, o)
	}
	for _, w := range s.warnings {
		s.recorder.stand(w)
		j.Warned(s.first, w)
	}
	s.recorder.begin(j)
	if s.run != nil {
		word = s.standTable()
	}
	if s.edited != nil {
		s.engine.Reload(s.edited)
	}
	return word
}

// standTable holds a run that is taken up while a motor table was turning: nobody may have seen
// what came under it meanwhile, so it goes on at a person's word. The light stays as it is.
func (s *seat) standTable() string {
	var snap cue.Snapshot
	if s.engine.Snapshot(&snap); snap.Speed == 0 {
		return ""
	}
	s.engine.Do(operate.Command{Verb: operate.Hold})
	return "the table was turning, so the run is held: see that fingers and cables are clear, then say resume"
}

// tell says where a run that was taken up goes on.
func (s *seat) tell(w io.Writer) {
	if s.run == nil {
		return
	}
	var snap cue.Snapshot
	s.engine.Snapshot(&snap)
	where := "before the first cue"
	if snap.CueName != "" {
		where = fmt.Sprintf("%s, %s", snap.CueName, snap.Motion)
		if snap.Motion == cue.Fading {
			where = fmt.Sprintf("%s at %.0f %%", where, 100*snap.Progress)
		}
	}
	note(w, "the run of %s broke off and goes on: %s (--fresh begins anew)", s.run.Begun.Format("15:04"), where)
	if drivesTable(s.engine.Shoot()) && snap.CueName != "" {
		note(w, "it counts on the table at %s; if it was moved meanwhile, bring it back there first", turnText(snap.Azimuth))
	}
	if firing(snap.Prompts) {
		note(w, "a picture was being taken: confirm if it was, else missed REASON and resume")
	}
}

// firing says whether a picture was being taken when the run broke off.
func (s *seat) firing() bool {
	var snap cue.Snapshot
	s.engine.Snapshot(&snap)
	return s.run != nil && firing(snap.Prompts)
}

// drivesTable says whether the rig turns the table by itself.
func drivesTable(s *cue.Shoot) bool { return !s.Turntable.Hand && s.Turntable.Drive != "" }

// litSince is since when each source has been lit, by what a run tells; nodes and lights hold
// their light while nobody sends.
func litSince(run *journal.Run) map[string]time.Time {
	since := map[string]time.Time{}
	if run == nil {
		return since
	}
	for e, err := range run.Entries() {
		st := e.State
		if st == nil && e.Capture != nil {
			st = &e.Capture.State
		}
		if err != nil || st == nil || e.Time.IsZero() {
			continue
		}
		now := make(map[string]time.Time, len(st.Lights))
		for _, l := range st.Lights {
			if now[l.Source] = e.Time; !since[l.Source].IsZero() {
				now[l.Source] = since[l.Source]
			}
		}
		since = now
	}
	return since
}

// askOperator asks a question that y answers; false where nobody can be asked.
func askOperator(ctx context.Context, std stdio, typed <-chan string, question string) bool {
	fmt.Fprintf(std.Err, "%s [y/N] ", clean(question))
	select {
	case line := <-typed:
		return strings.EqualFold(line, "y") || strings.EqualFold(line, "yes")
	case <-ctx.Done():
		return false
	}
}
