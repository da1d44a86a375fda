package pace

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"limn/dmx"
)

// The refresh of unchanged content, ANSI E1.31-2018, 6.6.2; E1.11 wants a line
// refreshed at least once a second.
const (
	repeatsAfterChange = 3
	defaultKeepAlive   = 800 * time.Millisecond
	maxKeepAlive       = time.Second
)

// defaultFarewell is how often the last frame goes out at the end, because a datagram may be lost.
const defaultFarewell = 3

// Fill writes frame k of every universe, in [Config].Universes order, and says
// whether there is anything to send yet (false before the first command). It
// runs on the loop's thread and must not block or allocate. k never goes back;
// it skips when the loop is late. frames hold what they were left with.
type Fill func(k int64, frames []dmx.Frame) (live bool)

// Config is what a [Loop] is made of.
type Config struct {
	// Universes are those that Fill writes, each once.
	Universes []dmx.Universe
	// Outputs are the loop's own from New on; Run closes them. A universe may go to
	// several of them; one that no Fill writes is sent as zeros.
	Outputs []dmx.Output
	Fill    Fill
	// FirstK is the number of the first frame: where an interrupted run goes on.
	FirstK int64
	// KeepAlive is after how long an unchanged frame is sent again, on the next frame
	// of the grid; at most a second; 0 means 800 ms.
	KeepAlive time.Duration
	// Farewell is how often the last frame goes out at the end; 0 means 3, less than 0 none.
	Farewell int
	// OnEvent is told when an output goes down or comes back, in words, at most once a
	// second for each output. All calls come from one goroutine, which waits for it. May be nil.
	OnEvent func(Event)
	// Clock is where time comes from; nil is the machine.
	Clock Clock
}

// Event is a change in what an operator must know about an output. Outputs are
// taken to be up until they are known not to be.
type Event struct {
	Output string
	Status dmx.Status
}

func (c *Config) check() error {
	if c.Fill == nil {
		return errors.New("pace: there is no Fill to ask for frames")
	}
	if c.FirstK < 0 {
		return fmt.Errorf("pace: the first frame is %d; frames are counted from 0", c.FirstK)
	}
	if c.KeepAlive < 0 || c.KeepAlive > maxKeepAlive {
		return fmt.Errorf("pace: the keep-alive interval is %v; receivers need more than 0 and at most %v", c.KeepAlive, maxKeepAlive)
	}
	for i, u := range c.Universes {
		if slices.Contains(c.Universes[:i], u) {
			return fmt.Errorf("pace: universe %d is listed twice; each may be filled once", u)
		}
	}
	return nil
}
