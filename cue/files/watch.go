package files

import (
	"bytes"
	"context"
	"io/fs"
	"path/filepath"
	"slices"
	"time"

	"github.com/fsnotify/fsnotify"

	"limn/cue"
)

// How a folder is watched. Editors save in several steps, so a change is looked at
// once it has been quiet for a while, but no later than after settleMost. Not every
// disk tells of changes, and none of a folder that is taken away and brought back:
// so it is looked at every so often as well.
const (
	settleTime = 100 * time.Millisecond
	settleMost = time.Second
	pollTime   = 2 * time.Second
	// pollAlone is how often where nothing else tells of changes.
	pollAlone = 500 * time.Millisecond
)

// Event is a change of a watched shoot.
type Event struct {
	Shoot    *cue.Shoot // nil: it has errors, and the last good one goes on
	Problems []Problem
	Files    []string // that changed, were made or went, in the shoot's folder
}

// Watch tells of changes to the shoot by others, until the context ends; then
// the channel is closed. What is written by plans of this folder is no change. The
// folder has read the change by the time it is told of; changes that come faster
// than they are taken are told of as one. A shoot that is not on disk never changes.
func (f *Folder) Watch(ctx context.Context) <-chan Event {
	out := make(chan Event)
	go func() {
		defer close(out)
		if f.dir == "" {
			<-ctx.Done()
			return
		}
		w := newWatcher(f)
		defer w.close()
		w.run(ctx, out)
	}()
	return out
}

// watcher is one run of Watch.
type watcher struct {
	folder *Folder
	notify *fsnotify.Watcher // nil = the system has none to give
	on     map[string]bool   // folders it watches
}

func newWatcher(f *Folder) *watcher {
	w := &watcher{folder: f, on: map[string]bool{}}
	if n, err := fsnotify.NewWatcher(); err == nil {
		w.notify = n
	}
	w.follow()
	return w
}

func (w *watcher) close() {
	if w.notify != nil {
		w.notify.Close()
	}
}

// follow watches the folders that the shoot's files lie in, those that links
// lead to included. The folders, never the files: an editor that saves by renaming
// takes the watched file away.
func (w *watcher) follow() {
	if w.notify == nil {
		return
	}
	want := map[string]bool{}
	enter := func(path string) {
		if real, err := filepath.EvalSymlinks(path); err == nil {
			want[real] = true
		}
	}
	enter(w.folder.dir)
	if now := w.folder.lastSeen(); now != nil {
		for name := range now.dirs {
			enter(w.folder.path(name))
		}
		for name := range now.files {
			enter(filepath.Dir(w.folder.path(name)))
			if real, err := filepath.EvalSymlinks(w.folder.path(name)); err == nil {
				want[filepath.Dir(real)] = true
			}
		}
	}
	for path := range w.on {
		if !want[path] {
			_ = w.notify.Remove(path)
			delete(w.on, path)
		}
	}
	for path := range want {
		// Adding again what is watched already also mends a watch that was lost with
		// its folder.
		if err := w.notify.Add(path); err == nil {
			w.on[path] = true
		} else {
			delete(w.on, path)
		}
	}
}

func (w *watcher) run(ctx context.Context, out chan<- Event) {
	poll := pollTime
	var events <-chan fsnotify.Event
	var errs <-chan error
	if w.notify == nil {
		poll = pollAlone
	} else {
		events, errs = w.notify.Events, w.notify.Errors
	}
	every := time.NewTicker(poll)
	defer every.Stop()
	quiet := time.NewTimer(settleTime) // for what changed between reading and watching
	defer quiet.Stop()
	var since time.Time // the first change not looked at yet
	var waiting *Event  // to be taken
	for {
		var to chan<- Event
		var next Event
		if waiting != nil {
			to, next = out, *waiting
		}
		select {
		case <-ctx.Done():
			return
		case to <- next:
			waiting = nil
		case _, ok := <-events:
			if !ok {
				events = nil
				continue
			}
			if since.IsZero() {
				since = time.Now()
			}
			quiet.Reset(min(settleTime, max(settleMost-time.Since(since), 0)))
		case _, ok := <-errs: // it has lost some, so look
			if !ok {
				errs = nil
				continue
			}
			quiet.Reset(settleTime)
		case <-every.C:
			if since.IsZero() && w.folder.stale() {
				quiet.Reset(settleTime) // it may be half written
			}
		case <-quiet.C:
			since = time.Time{}
			w.look(&waiting)
		}
	}
}

// look reads the shoot if anything of it has changed.
func (w *watcher) look(waiting **Event) {
	event := w.folder.news()
	if event == nil {
		return
	}
	w.follow()
	if *waiting != nil {
		event.Files = union((*waiting).Files, event.Files)
	}
	*waiting = event
}

func union(a, b []string) []string {
	out := append(slices.Clone(a), b...)
	slices.Sort(out)
	return slices.Compact(out)
}

// lastSeen is what was read last.
func (f *Folder) lastSeen() *seen {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.latest
}

// stale says whether anything of the shoot is not as it was read.
func (f *Folder) stale() bool {
	f.reading.Lock()
	defer f.reading.Unlock()
	was := f.lastSeen()
	return was == nil || !was.same(was.again(f.fsys))
}

// news reads the shoot again if anything has changed; nil if nothing has.
func (f *Folder) news() *Event {
	f.reading.Lock()
	defer f.reading.Unlock()
	was := f.lastSeen()
	if was != nil && was.same(was.again(f.fsys)) {
		return nil
	}
	now := look(f.fsys)
	shoot, renderer, problems := load(f.name, now)
	f.mu.Lock()
	defer f.mu.Unlock()
	event := &Event{Shoot: shoot, Problems: problems}
	if was != nil {
		event.Files = now.unlike(was)
	}
	f.latest = now
	if shoot != nil {
		f.good = &state{now, shoot, renderer}
	}
	return event
}

// unlike lists the files and folders that two looks at a shoot saw differently.
func (s *seen) unlike(o *seen) []string {
	var out []string
	for name, b := range s.files {
		if other := o.files[name]; (b == nil) != (other == nil) || !bytes.Equal(b, other) {
			out = append(out, name)
		}
	}
	for name, b := range o.files {
		if _, ok := s.files[name]; !ok && b != nil {
			out = append(out, name)
		}
	}
	for name, list := range s.dirs {
		if !sameList(list, o.dirs[name]) {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func sameList(a, b []fs.DirEntry) bool {
	return (a == nil) == (b == nil) && slices.EqualFunc(a, b, func(a, b fs.DirEntry) bool {
		return a.Name() == b.Name() && a.Type() == b.Type()
	})
}
