package main

import (
	"context"
	"fmt"
	"strings"
	"sync"

	"github.com/spf13/pflag"

	"limn/cue"
	pictures "limn/cue/capture"
	"limn/cue/journal"
	"limn/cue/operate"
)

// fireWords end what a person is told who takes a picture.
const fireWords = ": fire, confirm"

// captureFlags are how pictures are taken.
type captureFlags struct {
	command string
	timeout duration
	dry     bool
	image   int
}

func (f *captureFlags) add(fl *pflag.FlagSet) {
	fl.StringVar(&f.command, "capture", "", "a shell `COMMAND` that takes each picture of a sequence; without it you are asked to fire")
	fl.Var(&f.timeout, "capture-timeout", "how much `TIME` it has for a picture; else 2 min")
	fl.BoolVar(&f.dry, "capture-dry", false, "take no picture: name each one and go on")
	fl.IntVar(&f.image, "first-image", 0, "`NUMBER` the camera gives the next picture, for the log")
}

// check refuses what makes no sense together.
func (f *captureFlags) check() error {
	switch {
	case f.dry && f.command != "":
		return usagef("leave one of them out", "--capture and --capture-dry are given")
	case f.timeout.given() && f.command == "":
		return usagef(`write --capture 'COMMAND' too`, "--capture-timeout is for --capture")
	case f.timeout.given() && f.timeout.seconds <= 0:
		return usagef("write for example --capture-timeout 30s", "--capture-timeout: %q leaves no time for a picture", f.timeout.text)
	case f.image < 0:
		return usagef("write the number of the camera's next file", "--first-image: %d is no number of a picture", f.image)
	}
	return nil
}

// taker is who takes the pictures; nil: a person.
func (f *captureFlags) taker() pictures.Taker {
	switch {
	case f.dry:
		return pictures.Dry{}
	case f.command != "":
		return pictures.Command(f.command, pictures.Options{Timeout: f.timeout.std()})
	}
	return nil
}

// captures has the pictures of sequences taken and puts them into the log. It is the desk's.
type captures struct {
	taker pictures.Taker // nil: a person
	ctx   context.Context
	by    string // for the log: "hand", else the command

	pending *operate.PictureMark // that is being taken; nil: none
	since   int64                // frame whose light it is taken in
	seen    bool                 // that light is out
	state   journal.State        // and this
	number  int                  // of what was asked of the taker
	byHand  bool                 // this one is left to a person: nobody knows whether it was taken before the run broke off
	result  *taken               // that came, and is not yet reported
	results chan taken
	cancel  context.CancelFunc
	one     sync.Mutex // held while the taker is at it
	wait    sync.WaitGroup
}

type taken struct {
	number int
	err    error
}

func newCaptures(ctx context.Context, f *captureFlags) *captures {
	c := &captures{taker: f.taker(), ctx: ctx, by: "hand", results: make(chan taken), cancel: func() {}}
	switch {
	case f.dry:
		c.by = "dry run"
	case f.command != "":
		c.by = f.command
	}
	return c
}

// end waits for what was called off with the context.
func (c *captures) end() {
	c.cancel()
	c.wait.Wait()
}

// acted follows what was done: a picture is to be taken, was taken, or was given up.
func (d *desk) acted(done operate.Done) {
	d.latest = max(d.latest, done.K)
	if done.Command.Verb == operate.Rolling {
		d.rolled(done.K)
	}
	if (d.captures.pending != nil || d.captures.byHand) && !done.Auto {
		switch done.Command.Verb {
		case operate.Confirm:
			if !d.hands { // else it was for them
				d.captured(done.K, "")
			}
		case operate.Missed:
			d.captured(done.K, done.Command.Name)
		case operate.Stop, operate.Go, operate.GoTo, operate.Back, operate.Next, operate.Play:
			d.captures.drop()
		}
	}
	if p := done.Mark.Picture; p != nil {
		d.picture(p, done.K)
	}
}

// rolled logs a take of a moving shot.
func (d *desk) rolled(k int64) {
	note(d.out, "%11srolling; say cut when it is over", "")
	var snap cue.Snapshot
	d.stage.engine.Snapshot(&snap)
	d.recorder.journal.Captured(k, journal.Capture{
		State: stateOf(&snap, d.stage.engine.Shoot(), d.slots(snap.K)),
		Image: fmt.Sprintf("%s, take %d", d.sequence, d.takes), Take: d.takes, By: "hand",
	})
}

// picture is to be taken in the light of frame k.
func (d *desk) picture(p *operate.PictureMark, k int64) {
	c := d.captures
	c.drop()
	c.pending, c.since = p, k
}

// seePicture looks after the picture that is being taken: once its light is out it is logged and the taker told,
// and what the taker says is passed on. Hands may be needed in between, and a confirm is for them first.
func (d *desk) seePicture(snap *cue.Snapshot) {
	c := d.captures
	if c.pending == nil || snap.K <= c.since || !firing(snap.Prompts) {
		return
	}
	if !c.seen {
		c.seen = true
		c.state = stateOf(snap, d.stage.engine.Shoot(), d.slots(snap.K))
		d.haveTaken(snap)
	}
	if c.result == nil {
		return
	}
	err := c.result.err
	c.result = nil
	if err == nil {
		d.stage.engine.Do(operate.Command{Verb: operate.Confirm})
	} else {
		d.stage.engine.Do(operate.Command{Verb: operate.Missed, Name: err.Error()})
	}
	d.doneActs()
}

// haveTaken sets the taker to work, if it is not a person's.
func (d *desk) haveTaken(snap *cue.Snapshot) {
	c, p := d.captures, d.captures.pending
	if c.taker == nil {
		return
	}
	shoot := d.stage.engine.Shoot()
	var shots []cue.Shot
	q := sequenceNamed(shoot, snap.Sequence)
	if q != nil {
		shots, _ = shoot.Expand(q)
	}
	if p.Entry >= len(shots) { // the files have lost the sequence meanwhile
		c.byHand = true
		return
	}
	note(d.out, "%11spicture %d of %d: %s", "", p.Entry+1, p.Of, p.Name)
	c.start(pictures.Of(shoot, q, shots, p.Entry, p.Take, p.Image))
}

// start sets the taker to work, once it has left off what it was called off from.
func (c *captures) start(p pictures.Picture) {
	ctx, cancel := context.WithCancel(c.ctx)
	c.number++
	number := c.number
	c.cancel = cancel
	c.wait.Go(func() {
		defer cancel()
		c.one.Lock()
		defer c.one.Unlock()
		err := c.taker.Take(ctx, p)
		select {
		case c.results <- taken{number, err}:
		case <-c.ctx.Done():
		}
	})
}

// drop gives up the picture that is being taken.
func (c *captures) drop() {
	c.cancel()
	c.pending, c.seen, c.result, c.byHand = nil, false, nil, false
	c.number++ // whatever it still comes to is nobody's any more
}

// came takes what the taker says.
func (d *desk) came(r taken) {
	c := d.captures
	if r.number != c.number || c.pending == nil {
		return
	}
	c.result = &r
	var snap cue.Snapshot
	d.stage.engine.Snapshot(&snap)
	d.seePicture(&snap)
}

// hides says whether what is asked of a person who takes pictures is not for one.
func (c *captures) hides() bool { return c.taker != nil && !c.byHand }

// busy says whether a command is taking a picture.
func (c *captures) busy() bool { return c.pending != nil && c.hides() }

// firing says whether a picture is what is being waited for.
func firing(prompts []string) bool {
	return len(prompts) > 0 && strings.HasSuffix(prompts[len(prompts)-1], fireWords)
}

// captured logs a picture, or the failure of one.
func (d *desk) captured(k int64, failure string) {
	c := d.captures
	p := c.pending
	if p == nil { // it was begun before the run broke off
		c.drop()
		return
	}
	l := journal.Capture{
		State: c.state, Image: p.Name, Number: int64(p.Image), Take: p.Take, Frame: p.Entry + 1, Of: p.Of,
		By: c.by, Failure: failure,
	}
	if p.Shot != nil {
		if p.Shot.Pass > 0 {
			if l.Pass = p.Shot.Light; l.Pass == "" {
				l.Pass = "all"
			}
		}
		if p.Shot.FocusNo > 0 {
			l.Focus = p.Shot.Focus.String()
		}
	}
	d.recorder.journal.Captured(k, l)
	c.drop()
}
