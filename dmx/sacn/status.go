package sacn

import (
	"strings"
	"sync"
	"time"

	"limn/dmx"
)

// status is what an output says of itself. Trouble that ends by itself does so here too, without another Send.
type status struct {
	mu       sync.Mutex
	where    string
	troubles []placed
	closed   bool
}

// placed is the trouble of one link.
type placed struct {
	where string
	saying
}

// tell puts the links' trouble into the status. The caller holds the lock, or is alone.
func (o *Output) tell() {
	var places []string
	var troubles []placed
	for _, l := range o.links {
		places = append(places, l.name())
		if s := l.told(); s.words != "" {
			troubles = append(troubles, placed{l.name(), s})
		}
	}
	if len(places) == 1 {
		for i := range troubles {
			troubles[i].where = ""
		}
	}
	o.status.mu.Lock()
	defer o.status.mu.Unlock()
	o.status.where, o.status.troubles = strings.Join(places, ", "), troubles
}

func (s *status) close() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.closed = true
}

func (s *status) at(now time.Duration) dmx.Status {
	s.mu.Lock()
	defer s.mu.Unlock()
	out := dmx.Status{Where: s.where}
	if s.closed {
		out.Text = dmx.ErrClosed.Error()
		return out
	}
	var words []string
	for _, t := range s.troubles {
		switch {
		case !t.holds(now):
		case t.where != "":
			words = append(words, t.where+": "+t.words)
		default:
			words = append(words, t.words)
		}
	}
	out.Text = strings.Join(words, "; ")
	out.Up = len(words) == 0
	return out
}

// Status is up when every way that packets leave by is, as far as is known: of multicast nobody says whether it
// is heard.
func (o *Output) Status() dmx.Status { return o.status.at(o.now()) }
