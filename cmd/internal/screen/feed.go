package screen

import (
	"context"
	"math"
	"slices"
	"sync"
	"time"

	"limn/cue"
)

// PerSecond is how often the screen is told what there is to see.
const PerSecond = 20

// senderEvery is how often the sender's figures are asked for.
const senderEvery = time.Second

// Seen is what there is to see of one instant. What it points to is not written to.
type Seen struct {
	Shoot  *cue.Shoot
	Snap   *cue.Snapshot
	Sender Sender
}

// Sender is how the sending goes.
type Sender struct {
	Text    string // "p99 0.08 ms late, 0 missed; bench up"
	Trouble bool   // an output is down
}

// watch puts what is to be seen into a mailbox of one, where it differs from the
// last, until ctx ends.
func watch(ctx context.Context, stage Stage, box chan Seen) {
	tick := time.NewTicker(time.Second / PerSecond)
	defer tick.Stop()
	var last Seen
	var asked time.Time
	for {
		now := Seen{Shoot: stage.Shoot(), Snap: new(cue.Snapshot), Sender: last.Sender}
		stage.Snapshot(now.Snap)
		if time.Since(asked) >= senderEvery {
			asked = time.Now()
			now.Sender = stage.Sender()
		}
		if last.Snap == nil || now.Shoot != last.Shoot || now.Sender != last.Sender || !alike(now.Snap, last.Snap) {
			post(box, now)
			last = now
		}
		select {
		case <-tick.C:
		case <-ctx.Done():
			return
		}
	}
}

// post puts the latest into a mailbox of one; there is one who puts.
func post[T any](box chan T, v T) {
	select {
	case <-box:
	default:
	}
	box <- v
}

// alike says whether two snapshots show the same, whatever their frames.
func alike(a, b *cue.Snapshot) bool {
	if !slices.EqualFunc(a.Sources, b.Sources, func(x, y cue.SourceSnapshot) bool { return told(x) == told(y) }) ||
		!slices.Equal(a.Prompts, b.Prompts) || !slices.Equal(a.Notices, b.Notices) || !slices.Equal(a.Warnings, b.Warnings) ||
		!slices.Equal(a.Looks, b.Looks) || !slices.Equal(a.Without, b.Without) || !slices.Equal(a.Choices, b.Choices) {
		return false
	}
	return a.Cue == b.Cue && a.CueName == b.CueName && a.Next == b.Next && a.Motion == b.Motion && a.Progress == b.Progress &&
		a.Azimuth == b.Azimuth && a.Speed == b.Speed && a.Trimmed == b.Trimmed && a.Offered == b.Offered && a.Here == b.Here &&
		a.HereAt == b.HereAt && a.Alone == b.Alone && a.Aim == b.Aim && a.Identify == b.Identify && a.Whole == b.Whole &&
		a.Dark == b.Dark && a.Work == b.Work && a.Exposure == b.Exposure && a.Pace == b.Pace && a.Sequence == b.Sequence &&
		a.Entry == b.Entry && a.Entries == b.Entries && a.Question == b.Question
}

// told is a source that equals itself: what is unknown is some number that none is.
func told(s cue.SourceSnapshot) cue.SourceSnapshot {
	for _, f := range []*float64{&s.KeyStops, &s.Lux, &s.Headroom} {
		if math.IsNaN(*f) {
			*f = -math.MaxFloat64
		}
	}
	return s
}

// MaxMessages is the most lines of answers that are kept to look at again.
const MaxMessages = 200

// Answers takes lines of answers, from any goroutine, for the screen to show.
type Answers struct {
	mu    sync.Mutex
	lines []answer
	ready chan struct{}
}

// answer is a line, and whether it is to be seen at once; others are kept to be looked up, as
// the picture tells what they do.
type answer struct {
	text  string
	aloud bool
}

// NewAnswers makes an empty one.
func NewAnswers() *Answers { return &Answers{ready: make(chan struct{}, 1)} }

// Add adds a line; it never waits. Aloud shows it at once; other lines are kept to be looked up. Of
// too many that nobody took the oldest are dropped.
func (a *Answers) Add(line string, aloud bool) {
	a.mu.Lock()
	a.lines = append(a.lines, answer{line, aloud})
	a.lines = a.lines[max(len(a.lines)-MaxMessages, 0):]
	a.mu.Unlock()
	select {
	case a.ready <- struct{}{}:
	default:
	}
}

func (a *Answers) take() []answer {
	a.mu.Lock()
	defer a.mu.Unlock()
	lines := a.lines
	a.lines = nil
	return lines
}

// news are the messages that a list of the latest holds beyond what it held before; old
// ones fall off its front.
func news(before, now []string) []string {
	for drop := range before {
		if kept := before[drop:]; len(kept) <= len(now) && slices.Equal(kept, now[:len(kept)]) {
			return now[len(kept):]
		}
	}
	return now
}
