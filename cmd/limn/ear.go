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
	config sacn.ListenConfig
	stop   chan struct{}
	done   chan struct{}
}

// listen puts an ear to every output that sends by multicast, on the interface it sends by. Nothing
// is listened to for outputs to single addresses.
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
		e := &ear{
			config: sacn.ListenConfig{Groups: groupsOf(o), Interface: o.Interface, Universes: wire},
			stop:   make(chan struct{}), done: make(chan struct{}),
		}
		os.ears = append(os.ears, e)
		go e.work(rivals{output: o.Name, priority: byte(o.Priority), own: os.senders.own, known: map[rivalry]string{}}, os.news)
	}
}

// work listens until it is stopped. An ear that cannot open yet (no network, a port that is taken) says so
// once and tries again; light does not wait for it.
func (e *ear) work(r rivals, news func(string)) {
	defer close(e.done)
	tick := time.NewTicker(hearEvery)
	defer tick.Stop()
	var receiver *sacn.Receiver
	for told := false; ; {
		if receiver == nil {
			var err error
			if receiver, err = sacn.Listen(e.config, nil); err != nil {
				receiver = nil
				if !told {
					news(fmt.Sprintf("output %s: other senders are not noticed yet: %v", r.output, err))
				}
				told = true
			}
		}
		select {
		case <-e.stop:
			if receiver != nil {
				receiver.Close()
			}
			return
		case <-tick.C:
			if receiver == nil {
				continue
			}
			for _, text := range r.news(receiver.Universes()) {
				news(text)
			}
		}
	}
}

func (e *ear) close() {
	close(e.stop)
	<-e.done
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
