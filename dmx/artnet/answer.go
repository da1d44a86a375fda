package artnet

import (
	"math"
	"math/rand/v2"
	"net/netip"
	"time"
)

const (
	// maxDelay is the longest a device may wait with its answer, so that not all come at once.
	maxDelay = time.Second
	// maxAnswers bounds the answers that wait to go out, one for each who polls.
	maxAnswers = 64
)

func answerDelay() time.Duration { return rand.N(maxDelay) }

// answers are the polls of others that wait for an answer: one each, however often they ask meanwhile, so
// that nobody can be flooded through us.
type answers struct {
	due map[netip.Addr]time.Duration
}

func (a *answers) add(to netip.Addr, at time.Duration) bool {
	if _, ok := a.due[to]; ok || len(a.due) >= maxAnswers {
		return false
	}
	if a.due == nil {
		a.due = map[netip.Addr]time.Duration{}
	}
	a.due[to] = at
	return true
}

// answer sends the answers that are due, and says when the next is.
func (d *Discovery) answer(now time.Duration) (next time.Duration) {
	d.mu.Lock()
	defer d.mu.Unlock()
	next = math.MaxInt64
	for to, at := range d.answers.due {
		if at > now {
			next = min(next, at)
			continue
		}
		delete(d.answers.due, to)
		if len(d.wires) == 0 {
			continue
		}
		r := d.self()
		if _, err := d.wires[0].WriteToUDPAddrPort(r.AppendTo(nil), netip.AddrPortFrom(to, d.cfg.Port)); err != nil {
			d.fail(err)
			continue
		}
		d.counters.Answered++
	}
	return next
}

// self is what we say of ourselves: a controller without ports.
func (d *Discovery) self() PollReply {
	r := PollReply{
		IP: d.network.Own.Addr().As4(), Port: Port, Version: d.cfg.Firmware, Oem: 0xff, // unknown
		Status1: Status1Normal, Style: StyleController, MAC: d.network.MAC,
		BindIP: d.network.Own.Addr().As4(), BindIndex: 1, Status2: Status2LongAddr,
	}
	SetText(r.ShortName[:], d.cfg.Name)
	SetText(r.LongName[:], d.cfg.Name+", lighting controller")
	SetText(r.Report[:], "#0001 [0000] ok")
	return r
}
