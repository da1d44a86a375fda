package main

import (
	"sync"

	"limn/dmx/pace"
)

// events collects what outputs report, from any goroutine, for the one that prints.
type events struct {
	mu    sync.Mutex
	list  []pace.Event
	ready chan struct{} // holds a token while the list is not empty
}

func newEvents() *events { return &events{ready: make(chan struct{}, 1)} }

func (e *events) put(ev pace.Event) {
	e.mu.Lock()
	e.list = append(e.list, ev)
	e.mu.Unlock()
	select {
	case e.ready <- struct{}{}:
	default: // already told
	}
}

func (e *events) take() []pace.Event {
	e.mu.Lock()
	defer e.mu.Unlock()
	list := e.list
	e.list = nil
	return list
}

// eventText says that an output came up or went down, with cause and cure.
func eventText(e pace.Event) string {
	if e.Status.Up {
		return "output " + e.Output + ": up, " + e.Status.Where
	}
	text := "output " + e.Output + ": down, " + e.Status.Where
	if e.Status.Text != "" {
		text += ": " + e.Status.Text
	}
	return text
}
