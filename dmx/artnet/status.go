package artnet

import (
	"fmt"
	"slices"
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
	untaken  string   // universes that no node takes, in words
	findings []string // about nodes, for Warnings
	closed   bool
}

// placed is the trouble of one destination.
type placed struct {
	where string
	saying
}

// tell puts the destinations' trouble into the status. The caller holds the lock, or is alone.
func (o *Output) tell() {
	var places []string
	var troubles []placed
	for _, d := range o.dests {
		if d.gone {
			continue
		}
		places = append(places, d.name())
		switch {
		case d.cut:
			troubles = append(troubles, placed{d.name(), saying{words: cutWords, open: true}})
		case d.trouble.words != "":
			troubles = append(troubles, placed{d.name(), d.trouble})
		}
	}
	for _, d := range o.syncs {
		if d.trouble.words != "" {
			troubles = append(troubles, placed{d.name(), d.trouble})
		}
	}
	where := strings.Join(places, ", ")
	if where == "" {
		where = "discovered nodes"
	}
	if len(places) == 1 {
		for i := range troubles {
			troubles[i].where = ""
		}
	}
	o.status.mu.Lock()
	defer o.status.mu.Unlock()
	o.status.where, o.status.troubles = where, troubles
	o.status.untaken = o.untaken()
}

// untaken names the universes that no node takes.
func (o *Output) untaken() string {
	if !o.subscribe {
		return ""
	}
	var words []string
	for i, u := range o.universes {
		if !slices.ContainsFunc(o.dests, func(d *destination) bool { return !d.gone && d.feeds[i].on }) {
			a, _ := PortAddress(u, o.cfg.Offset) // checked at the start
			words = append(words, fmt.Sprintf("universe %d (Port-Address %s)", u, FormatPortAddress(a)))
		}
	}
	switch {
	case len(words) == 0:
		return ""
	case len(words) > 3:
		words = append(words[:3], fmt.Sprintf("%d more", len(words)-3))
	}
	return "no node that answers puts out " + strings.Join(words, ", ") + "; switch the node on, or set it to that address"
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
	if s.untaken != "" {
		words = append(words, s.untaken)
	}
	out.Text = strings.Join(words, "; ")
	out.Up = len(words) == 0
	return out
}

// Status is up when every node is, as far as is known, and with discovery when every universe has one.
func (o *Output) Status() dmx.Status {
	s := o.status.at(o.now())
	if !o.subscribe || s.Text == dmx.ErrClosed.Error() {
		return s
	}
	if d := o.cfg.Discovery.Status(); !d.Up {
		s.Up = false
		s.Text = strings.TrimPrefix(s.Text+"; "+d.Text, "; ")
	}
	return s
}
