package main

import (
	"fmt"
	"time"

	"limn/dmx/sacn"
)

// hearEvery is how often what was overheard is looked at.
const hearEvery = time.Second

// ear listens to the sACN universes of one output for other senders.
type ear struct {
	receiver *sacn.Receiver
	stop     chan struct{}
	done     chan struct{}
}

// listen puts an ear to every output that sends by multicast, on the interface it sends by. Nothing
// is listened to for outputs to single addresses. An ear that cannot open is told and done without.
func (os *outputs) listen() {
	for i := range os.shoot.Outputs {
		o := &os.shoot.Outputs[i]
		if !o.Multicast() {
			continue
		}
		var wire []uint16
		for _, u := range o.Universes {
			wire = append(wire, uint16(u+o.Offset))
		}
		r, err := sacn.Listen(sacn.ListenConfig{Groups: groupsOf(o), Interface: o.Interface, Universes: wire}, nil)
		if err != nil {
			os.news(fmt.Sprintf("output %s: other senders will not be noticed: %v", o.Name, err))
			continue
		}
		e := &ear{receiver: r, stop: make(chan struct{}), done: make(chan struct{})}
		os.ears = append(os.ears, e)
		go e.work(rivals{output: o.Name, priority: byte(o.Priority), own: os.senders.own, known: map[rivalry]string{}}, os.news)
	}
}

func (e *ear) work(r rivals, news func(string)) {
	defer close(e.done)
	tick := time.NewTicker(hearEvery)
	defer tick.Stop()
	for {
		select {
		case <-e.stop:
			return
		case <-tick.C:
			for _, text := range r.news(e.receiver.Universes()) {
				news(text)
			}
		}
	}
}

func (e *ear) close() error {
	close(e.stop)
	<-e.done
	return e.receiver.Close()
}

// rivalry is another sender in a universe.
type rivalry struct {
	cid      sacn.CID
	universe uint16
}

// maxRivals bounds what strangers can make a run remember.
const maxRivals = 256

// rivals keeps book of who else sends an output's universes.
type rivals struct {
	output   string
	priority byte
	own      map[sacn.CID]bool
	known    map[rivalry]string // what was said
}

// news says who has come, gone, or changed its priority across ours.
func (r *rivals) news(universes []sacn.Universe) []string {
	var out []string
	present := map[rivalry]string{}
	for _, u := range universes {
		for i := range u.Sources {
			s := &u.Sources[i]
			if !s.Present || r.own[s.CID] || len(present) >= maxRivals {
				continue
			}
			at := rivalry{s.CID, u.Number}
			text := rivalText(r.output, r.priority, u.Number, s)
			present[at] = s.Title()
			if said, ok := r.known[at]; !ok || said != text {
				out = append(out, text)
			}
			r.known[at] = text
		}
	}
	for at := range r.known {
		if present[at] == "" {
			delete(r.known, at)
			out = append(out, fmt.Sprintf("output %s: the other sender of sACN universe %d is gone", r.output, at.universe))
		}
	}
	return out
}

// rivalText says what it means that somebody else sends.
func rivalText(output string, ours byte, universe uint16, s *sacn.Source) string {
	head := fmt.Sprintf("output %s: sACN universe %d is also sent by %s", output, universe, s.Title())
	switch {
	case s.Priority > ours:
		return fmt.Sprintf("%s with priority %d, above ours of %d: receivers follow that one; stop it, or raise the output's priority", head, s.Priority, ours)
	case s.Priority < ours:
		return fmt.Sprintf("%s with priority %d, below ours of %d: receivers follow this computer", head, s.Priority, ours)
	}
	return fmt.Sprintf("%s with the same priority, %d: each receiver does as it likes, most mix the two; stop it, or give the output another priority", head, ours)
}
