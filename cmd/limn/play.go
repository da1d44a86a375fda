package main

import (
	"context"
	"errors"
	"io"
	"os"
	"slices"
	"sync/atomic"
	"time"

	"limn/cue"
	"limn/dmx"
	"limn/dmx/pace"
	recording "limn/dmx/record"
)

// readAhead is how many packets of a recording wait to be sent: at 44 frames a second, a second of 20 universes.
const readAhead = 1024

// playBack sends a recording to the outputs of a shoot, or to the address that flags name.
func (f *listenFlags) playBack(ctx context.Context, std stdio) error {
	var shoot *cue.Shoot
	var err error
	if f.shoot != "" {
		if shoot, err = openShoot(f.shoot, std); err != nil {
			return err
		}
	}
	rig, err := f.rig(shoot)
	if err != nil {
		return err
	}
	file, err := os.Open(f.play)
	if err != nil {
		return failuref(statusFailed, "", "cannot read %s: %v", f.play, pathCause(err))
	}
	defer file.Close()
	r, err := recording.NewReader(file)
	if err != nil {
		return failuref(statusFiles, "limn listen --record FILE makes one", "%s: %v", f.play, err)
	}
	if err := f.agree(ctx, driven(rig), std); err != nil {
		return err
	}
	ctx, cancel := forTime(ctx, f.forT)
	defer cancel()
	p, err := newPlayer(rig, r, std)
	if err != nil {
		return err
	}
	return p.play(ctx, f.play, std)
}

// player sends what a recording holds, each packet at the frame of its time.
type player struct {
	wires    *outputs
	loop     *pace.Loop
	universe []dmx.Universe
	place    map[recorded]int // of a recorded universe among ours
	recorded *recording.Reader

	queue   chan recording.Entry
	next    recording.Entry // the frame thread's, like begun
	waiting bool
	begun   bool
	live    bool
	first   int64
	done    chan struct{} // closed when the last packet was shown
	over    bool
	sent    atomic.Int64
}

// recorded is a universe as the wire numbers it.
type recorded struct {
	protocol string
	universe int
}

func newPlayer(rig *cue.Shoot, r *recording.Reader, std stdio) (*player, error) {
	p := &player{recorded: r, place: map[recorded]int{}, queue: make(chan recording.Entry, readAhead), done: make(chan struct{})}
	tell := func(text string) { note(std.Err, "%s", text) }
	var err error
	if p.wires, err = openOutputs(rig, tell); err != nil {
		return nil, err
	}
	var outs []dmx.Output
	for _, o := range p.wires.outs {
		outs = append(outs, o)
		for _, u := range o.Universes() {
			if !slices.Contains(p.universe, u) {
				p.universe = append(p.universe, u)
			}
		}
	}
	for i, u := range p.universe {
		p.place[recorded{recording.ArtNet, int(u) + wireOffset(rig, cue.ArtNet, int(u))}] = i
		p.place[recorded{recording.SACN, int(u) + wireOffset(rig, cue.SACN, int(u))}] = i
	}
	p.loop, err = pace.New(pace.Config{
		Universes: p.universe, Outputs: outs, Fill: p.fill, KeepAlive: loopKeepAlive(rig),
		OnEvent: func(e pace.Event) { tell(eventText(event{Event: e})) },
	})
	if err != nil {
		closeAll(p.wires.outs)
		p.wires.close()
		return nil, err
	}
	return p, nil
}

// fill shows what is due by frame k.
func (p *player) fill(k int64, frames []dmx.Frame) bool {
	for !p.over {
		if !p.waiting {
			select {
			case e, ok := <-p.queue:
				if !ok {
					p.over = true
					close(p.done)
					continue
				}
				p.next, p.waiting = e, true
			default: // the disk is slower than the light; it goes on
				return p.live
			}
		}
		if !p.begun {
			p.begun, p.first = true, k
		}
		if p.next.At > pace.Offset(k-p.first) {
			return p.live
		}
		frame := &frames[p.place[recorded{p.next.Protocol, p.next.Universe}]]
		*frame = dmx.Frame{}
		copy(frame[:], p.next.Slots)
		p.waiting, p.live = false, true
		p.sent.Add(1)
	}
	return p.live
}

// read brings what the outputs carry from the file, from its first such packet on, and counts what they do not.
func (p *player) read(ctx context.Context, name string, std stdio) (elsewhere map[recorded]int, faulty int) {
	defer close(p.queue)
	elsewhere = map[recorded]int{}
	begin, begun := time.Duration(0), false
	for {
		e, err := p.recorded.Next()
		if errors.Is(err, io.EOF) {
			return elsewhere, faulty
		}
		var bad *recording.LineError
		if errors.As(err, &bad) && faulty < maxFaultyLines {
			if faulty++; faulty == 1 {
				note(std.Err, "warning: %s: %v", name, err)
			}
			continue
		}
		if err != nil {
			note(std.Err, "warning: %s: %v; it ends here", name, err)
			return elsewhere, faulty
		}
		at := recorded{e.Protocol, e.Universe}
		if _, ok := p.place[at]; !ok {
			if len(elsewhere) < maxPorts {
				elsewhere[at]++
			}
			continue
		}
		if !begun {
			begin, begun = e.At, true
		}
		e.At -= begin
		select {
		case p.queue <- e:
		case <-ctx.Done():
			return elsewhere, faulty
		}
	}
}

// maxFaultyLines is how many lines of a recording may be no packets; a file with more is none.
const maxFaultyLines = 100

// play sends until the recording is over, or the context.
func (p *player) play(ctx context.Context, name string, std stdio) error {
	loop, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- p.loop.Run(loop) }()
	reading, giveUp := context.WithCancel(ctx)
	type rest struct {
		elsewhere map[recorded]int
		faulty    int
	}
	read := make(chan rest, 1)
	go func() {
		e, n := p.read(reading, name, std)
		read <- rest{e, n}
	}()
	select {
	case <-p.done:
	case <-ctx.Done():
	}
	giveUp()
	left := <-read
	stop()
	err := <-ended
	if e := p.wires.close(); err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	if left.faulty > 1 {
		note(std.Err, "warning: %s of %s were no packets", count(left.faulty, "line"), name)
	}
	for at, n := range left.elsewhere {
		note(std.Err, "warning: %s of %s universe %d were not sent: no output carries it", count(n, "packet"), at.protocol, at.universe)
	}
	if ctx.Err() != nil && context.Cause(ctx) != errTimeUp {
		return said(statusInterrupted)
	}
	if p.sent.Load() == 0 {
		return failuref(statusFailed, "name its universes by --universe, or a shoot whose outputs carry them", "nothing of %s was for these outputs", name)
	}
	note(std.Err, "played %s; the last light stays", count(int(p.sent.Load()), "packet"))
	return nil
}
