package pace

import (
	"slices"
	"sync/atomic"
	"time"

	"limn/dmx"
)

// stuckAfter is how long an output may be busy with one frame before the operator hears of it.
const stuckAfter = time.Second

const stuckText = "it has not taken a frame for more than a second; if that goes on, unplug it and plug it in again"

// notSending in outlet.busySince: no Send is running.
const notSending = -1

// outlet is one output with its mailbox and the goroutine that empties it.
type outlet struct {
	out   dmx.Output
	start time.Time
	index []int // where among the loop's frames each universe of the output is; -1 nowhere

	// The frame thread's alone.
	offered   bool // something has been, since there was anything to send
	lastK     int64
	repeats   int   // of the present content
	content   int64 // number of the present content
	keepAlive time.Duration

	box *mailbox

	// The goroutine's alone.
	sentContent int64
	failed      func() // told when a Send fails after one that did not

	sent, repeated, dropped, errors atomic.Int64
	failing                         atomic.Bool  // the last Send failed
	busySince                       atomic.Int64 // when the running Send began, or notSending
	done                            chan struct{}
	closeErr                        error // to be read after done
}

func newOutlet(out dmx.Output, universes []dmx.Universe, keepAlive time.Duration, failed func()) *outlet {
	own := out.Universes()
	o := &outlet{
		out: out, start: time.Now(), keepAlive: keepAlive, failed: failed,
		index: make([]int, len(own)), box: newMailbox(len(own)), done: make(chan struct{}),
	}
	for i, u := range own {
		o.index[i] = slices.Index(universes, u)
	}
	o.busySince.Store(notSending)
	return o
}

// silence forgets what was offered, so that the next frame goes out at once.
func (o *outlet) silence() { o.offered = false }

// offer puts frame k into the mailbox if it is to be sent.
func (o *outlet) offer(k int64, frames []dmx.Frame) {
	switch {
	case !o.offered, o.changed(frames):
		o.offered = true
		o.content++
		o.repeats = 0
	case o.failing.Load(): // the present frame is there the moment the output is
	case o.repeats < repeatsAfterChange:
		o.repeats++
	case Offset(k)-Offset(o.lastK) >= o.keepAlive:
	default:
		return
	}
	o.lastK = k
	l := o.box.blank()
	for i, at := range o.index {
		if at >= 0 {
			l.frames[i] = frames[at]
		}
	}
	l.content = o.content
	if o.box.post() {
		o.dropped.Add(1)
	}
}

// changed says that frames hold other slots than those offered last.
func (o *outlet) changed(frames []dmx.Frame) bool {
	last := o.box.posted()
	for i, at := range o.index {
		if at >= 0 && last.frames[i] != frames[at] {
			return true
		}
	}
	return false
}

// now is of the runtime's monotonic clock, which costs a tenth of asking the kernel and stands still while the
// computer sleeps: no output is called stuck for that.
func (o *outlet) now() time.Duration { return time.Since(o.start) }

// work sends what comes, until the end; then the farewell. It gives up as soon as it
// can once hurry is closed.
func (o *outlet) work(end, hurry <-chan struct{}, farewell int) {
	defer close(o.done)
	var present *letter
	for !over(end) {
		select {
		case <-o.box.bell:
			if l := o.box.take(); l != nil {
				present = l
				o.send(l)
			}
		case <-end:
		}
	}
	if l := o.box.take(); l != nil {
		present = l
	}
	if present != nil {
		o.farewell(present, hurry, farewell)
	}
	o.closeErr = o.out.Close()
}

func over(c <-chan struct{}) bool {
	select {
	case <-c:
		return true
	default:
		return false
	}
}

func (o *outlet) farewell(l *letter, hurry <-chan struct{}, times int) {
	// At the pace of the grid: a node may drop what comes faster.
	tick := time.NewTicker(Offset(1))
	defer tick.Stop()
	for i := range times {
		if over(hurry) { // somebody else may have the lights by now
			return
		}
		if i > 0 {
			select {
			case <-tick.C:
			case <-hurry:
				return
			}
		}
		o.send(l)
	}
}

func (o *outlet) send(l *letter) {
	o.busySince.Store(int64(o.now()))
	err := o.out.Send(l.frames)
	o.busySince.Store(notSending)
	if err != nil {
		o.errors.Add(1)
		if !o.failing.Swap(true) {
			o.failed()
		}
		return
	}
	o.failing.Store(false)
	o.sent.Add(1)
	if l.content == o.sentContent {
		o.repeated.Add(1)
	}
	o.sentContent = l.content
}

// status is what the output says of itself, unless it is too stuck to say it.
func (o *outlet) status() dmx.Status {
	s := o.out.Status()
	since := o.busySince.Load()
	if s.Up && since != notSending && o.now()-time.Duration(since) > stuckAfter {
		s.Up, s.Text = false, stuckText
	}
	return s
}
