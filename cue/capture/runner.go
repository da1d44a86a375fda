package capture

import (
	"context"
	"sync"
)

// Runner takes pictures one at a time on a goroutine of its own, so that who makes frames never waits.
// Stop it when it is no longer needed.
type Runner struct {
	taker  Taker
	cancel context.CancelFunc
	wait   sync.WaitGroup
	asked  chan job
	ctx    context.Context
}

type job struct {
	p    Picture
	done func(Picture, error)
}

// NewRunner starts a runner. It ends with the context too.
func NewRunner(ctx context.Context, t Taker) *Runner {
	ctx, cancel := context.WithCancel(ctx)
	r := &Runner{taker: t, cancel: cancel, ctx: ctx, asked: make(chan job, 1)}
	r.wait.Go(r.run)
	return r
}

// Take asks for a picture and returns at once; done is called on the runner's goroutine when it is
// taken, or with why not. False: another is waiting already, or the runner has been stopped, and done is not called.
func (r *Runner) Take(p Picture, done func(Picture, error)) bool {
	if r.ctx.Err() != nil {
		return false
	}
	select {
	case r.asked <- job{p, done}:
		return true
	default:
		return false
	}
}

// Stop calls off the picture being taken and waits for it to end.
func (r *Runner) Stop() {
	r.cancel()
	r.wait.Wait()
}

func (r *Runner) run() {
	for {
		select {
		case <-r.ctx.Done():
			return
		case j := <-r.asked:
			j.done(j.p, r.taker.Take(r.ctx, j.p))
		}
	}
}
