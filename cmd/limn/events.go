package main

import (
	"sync"

	"limn/dmx/pace"
)

// maxEvents bounds what waits to be printed: a network can make news faster than a
// terminal takes it.
const maxEvents = 1000

// event is something to tell the operator: of an output, or in words.
type event struct {
	pace.Event
	text string // empty: it is the output's
}

// events collects what outputs and networks report, from any goroutine, for the one that prints.
type events struct {
	mu    sync.Mutex
	list  []event
	ready chan struct{} // holds a token while the list is not empty
}

func newEvents() *events { return &events{ready: make(chan struct{}, 1)} }

func (e *events) put(ev pace.Event) { e.add(event{Event: ev}) }

// tell takes news in words.
func (e *events) tell(text string) { e.add(event{text: text}) }

func (e *events) add(ev event) {
	e.mu.Lock()
	if len(e.list) < maxEvents {
		e.list = append(e.list, ev)
	}
	e.mu.Unlock()
	select {
	case e.ready <- struct{}{}:
	default: // already told
	}
}

func (e *events) take() []event {
	e.mu.Lock()
	defer e.mu.Unlock()
	list := e.list
	e.list = nil
	return list
}

// eventText says what happened; of an output that it came up or went down, with cause and cure.
func eventText(e event) string {
	if e.text != "" {
		return e.text
	}
	if e.Status.Up {
		return "output " + e.Output + ": up, " + e.Status.Where
	}
	text := "output " + e.Output + ": down, " + e.Status.Where
	if e.Status.Text != "" {
		text += ": " + e.Status.Text
	}
	return text
}
