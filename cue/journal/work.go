package journal

import (
	"errors"
	"slices"
	"time"
)

// worker is the journal's goroutine at work.
type worker struct {
	*Journal
	w    *writer
	beat int64 // the frame last written as reached

	fails  bool
	delay  time.Duration
	pruned bool
	next   time.Time // when a disk that failed is tried again
}

// work writes what is queued until the end. run is the one that goes on, or nil.
func (j *Journal) work(w *writer, run *Run) {
	defer close(j.done)
	k := &worker{Journal: j, w: w, beat: -1}
	if run != nil {
		k.beat = run.Reached
		w.recall(run)
	}
	tick := time.NewTicker(BeatEvery)
	defer tick.Stop()
	for {
		beat := false
		select {
		case <-j.wake:
		case <-tick.C:
			beat = true
		case <-j.end:
			j.endErr = k.finish()
			return
		}
		if now := j.options.Now(); !k.fails || !now.Before(k.next) {
			k.tell(k.pass(beat), now)
		}
		k.prune()
	}
}

// pass writes all that is queued, and the frame reached where it is time or something
// lasting went before: a resume must not stand before its last command.
func (k *worker) pass(beat bool) error {
	if err := k.w.open(); err != nil {
		return err
	}
	path := k.w.path()
	if p := k.place.Load(); p == nil || *p != path {
		k.place.Store(&path)
	}
	reached := k.reached() // before the queue: what is said to be reached has its commands on record
	lasting, err := k.drain()
	if err == nil && (beat || lasting) && reached > k.beat {
		err = k.w.encode(&item{entry: Entry{What: KindAt, K: reached}})
		k.beat = reached
	}
	if e := k.w.write(); e != nil {
		return errors.Join(err, e)
	}
	if now := k.options.Now(); lasting || now.Sub(k.w.synced) >= SyncEvery {
		if e := k.w.sync(now); e != nil {
			return errors.Join(err, e)
		}
	}
	return err
}

func (k *worker) reached() int64 {
	if k.options.Reached == nil {
		return -1
	}
	return min(k.options.Reached(), MaxFrame)
}

// drain encodes the queue, and writes where much has come together. It tells
// whether something was among it that must be on the disk at once, or may
// still be waiting for it.
func (k *worker) drain() (lasting bool, err error) {
	lasting = k.fails
	for {
		if len(k.w.tail)-k.w.written > batchBytes {
			if err := k.w.write(); err != nil {
				return lasting, err
			}
			if len(k.w.tail) > 4*batchBytes {
				if err := k.w.sync(k.options.Now()); err != nil {
					return lasting, err
				}
			}
		}
		it, ok := k.queue.peek()
		if !ok {
			return lasting, nil
		}
		switch err := k.w.encode(&it); {
		case errors.Is(err, errUnfit):
			k.queue.loseHere(it.entry.K)
			continue
		case err != nil:
			return lasting, err
		}
		k.queue.drop()
		lasting = lasting || !slices.Contains([]Kind{KindAzimuth, KindSettle}, it.entry.What)
	}
}

// tell keeps the standing warning, and the time of the next try.
func (k *worker) tell(err error, now time.Time) {
	if k.fails = err != nil; k.fails {
		k.delay = min(max(2*k.delay, firstRetry), lastRetry)
		k.next = now.Add(k.delay)
	} else {
		k.delay = 0
	}
	_, lost := k.queue.waiting()
	if k.standing.set(err, k.w.folder, int(k.w.n-k.w.durableN), lost) && k.options.OnWarning != nil {
		k.options.OnWarning(k.Warning())
	}
}

// prune makes room once in a run, when its own journal is there.
func (k *worker) prune() {
	if k.pruned || k.fails || k.w.run == 0 {
		return
	}
	k.pruned = true
	_ = prune(k.w.disk, k.w.folder, k.w.run) // what is not pruned now is pruned by the next run
}

// finish writes what is left and the clean end.
func (k *worker) finish() error {
	err := k.pass(true)
	if err == nil {
		err = k.w.encode(&item{entry: Entry{What: KindEnd, K: k.endK, Time: k.options.Now()}})
	}
	if err == nil {
		err = k.w.write()
	}
	if err == nil {
		err = k.w.sync(k.options.Now())
	}
	k.tell(err, k.options.Now())
	k.prune()
	if e := k.w.close(); err == nil {
		err = e
	}
	return err
}
