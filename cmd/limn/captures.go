package main

import (
	"context"
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
	state   journal.State        // in which
	number  int                  // of what was asked of the taker
	busy    bool                 // the taker is at it
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
	if d.captures.pending != nil && !done.Auto {
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
		d.picture(p)
	}
}

// picture has a picture taken.
func (d *desk) picture(p *operate.PictureMark) {
	c := d.captures
	c.drop()
	var snap cue.Snapshot
	d.stage.engine.Snapshot(&snap)
	shoot := d.stage.engine.Shoot()
	c.pending, c.state = p, stateOf(&snap, shoot, d.slots(snap.K))
	q := sequenceNamed(shoot, snap.Sequence)
	if c.taker == nil || q == nil {
		return
	}
	shots, err := shoot.Expand(q)
	if err != nil || p.Entry >= len(shots) {
		return // the files have lost the sequence meanwhile: a person may still fire
	}
	pic := pictures.Of(shoot, q, shots, p.Entry, p.Take, p.Image)
	note(d.out, "%11spicture %d of %d: %s", "", p.Entry+1, p.Of, p.Name)
	c.start(pic)
}

// start sets the taker to work, once it has left off what it was called off from.
func (c *captures) start(p pictures.Picture) {
	ctx, cancel := context.WithCancel(c.ctx)
	c.number++
	number := c.number
	c.busy, c.cancel = true, cancel
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
	c.pending, c.result, c.busy = nil, nil, false
	c.number++ // whatever it still comes to is nobody's any more
}

// came takes what the taker says.
func (d *desk) came(r taken) {
	c := d.captures
	if r.number != c.number || c.pending == nil {
		return
	}
	c.result = &r
	d.reportPicture()
}

// reportPicture tells the engine what became of a picture, as soon as it asks for nothing else: hands may
// be needed in between, and a confirm is for them first.
func (d *desk) reportPicture() {
	c := d.captures
	if c.result == nil {
		return
	}
	var snap cue.Snapshot
	if d.stage.engine.Snapshot(&snap); !firing(snap.Prompts) {
		return
	}
	err := c.result.err
	c.result, c.busy = nil, false
	if err == nil {
		d.stage.engine.Do(operate.Command{Verb: operate.Confirm})
		return
	}
	d.stage.engine.Do(operate.Command{Verb: operate.Missed, Name: err.Error()})
}

// firing says whether a picture is what is being waited for.
func firing(prompts []string) bool {
	return len(prompts) > 0 && strings.HasSuffix(prompts[len(prompts)-1], fireWords)
}

// captured logs a picture, or the failure of one.
func (d *desk) captured(k int64, failure string) {
	c := d.captures
	p := c.pending
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
