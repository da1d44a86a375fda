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
	clock Clock
	index []int // where among the loop's frames each universe of the output is; -1 nowhere

	// The frame thread's alone.
	offered   bool        // something has been, since there was anything to send
	last      []dmx.Frame // what was offered last, parallel to out.Universes()
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
	busySince                       atomic.Int64 // the clock when the running Send began, or notSending
	done                            chan struct{}
	closeErr                        error // to be read after done
}

func newOutlet(out dmx.Output, universes []dmx.Universe, clock Clock, keepAlive time.Duration, failed func()) *outlet {
	own := out.Universes()
	o := &outlet{
		out: out, clock: clock, keepAlive: keepAlive, failed: failed,
		index: make([]int, len(own)), last: make([]dmx.Frame, len(own)),
		box: newMailbox(len(own)), done: make(chan struct{}),
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
	changed := !o.offered
	for i, at := range o.index {
		if at >= 0 && o.last[i] != frames[at] {
			o.last[i] = frames[at]
			changed = true
		}
	}
	switch {
	case changed:
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
	if o.box.put(o.last, o.content) {
		o.dropped.Add(1)
	}
}

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
	o.busySince.Store(int64(o.clock.Now()))
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
func (o *outlet) status(now time.Duration) dmx.Status {
	s := o.out.Status()
	since := o.busySince.Load()
	if s.Up && since != notSending && now-time.Duration(since) > stuckAfter {
		s.Up, s.Text = false, stuckText
	}
	return s
}
