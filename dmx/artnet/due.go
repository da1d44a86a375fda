package artnet

import "time"

// When a universe goes out. The send loop calls Send for a change, for three repeats of it, for a keep-alive
// after 800 ms at the latest, for the farewell, and 44 times a second while an output is in trouble.
const (
	// repeats are owed for a change (ANSI E1.31-2018, 6.6.2; Art-Net gives no number).
	repeats = 3
	// keepAlive is when an unchanged universe goes along with others that change. Art-Net recommends 800 to
	// 1000 ms; frames come every 23 ms.
	keepAlive = 800 * time.Millisecond
	// settle is when it goes along with repeats, after which there may be silence for 800 ms and a
	// frame more: together less than a second.
	settle = 150 * time.Millisecond
)

// occasion is why an output sends.
type occasion byte

const (
	change occasion = iota // some universe has changed
	repeat                 // none has
	arrive                 // a destination is new; nobody else is sent anything
)

// fill puts into d what goes out now. quiet says that some destination is in trouble, so
// that a repeat may be for its sake alone.
func (o *Output) fill(d *destination, why occasion, quiet bool, now time.Duration) {
	limit := time.Duration(0) // a universe that is older goes out
	switch {
	case d.cut || d.trouble.holds(now): // whatever was sent may be lost
	case why == change:
		limit = keepAlive
	case quiet || d.owes():
		limit = settle
	}
	d.msgs, d.of = d.msgs[:0], d.of[:0]
	for _, i := range d.on {
		f := &d.feeds[i]
		changed := why == change && o.changed[i]
		switch {
		case !f.fresh || changed:
		case why == arrive:
			continue
		case f.owed > 0 || now-f.at >= limit:
		default:
			continue
		}
		if changed || !f.fresh {
			f.owed = repeats
		} else if f.owed > 0 {
			f.owed--
		}
		f.fresh, f.at = true, now
		f.sequence = nextSequence(f.sequence)
		// Destinations share the packet: they are served one after the other, and the system copies.
		d.msgs = append(d.msgs, o.msgs[i])
		d.of = append(d.of, i)
	}
}

// owes says that a repeat of some universe is still due.
func (d *destination) owes() bool {
	for _, i := range d.on {
		if d.feeds[i].owed > 0 || !d.feeds[i].fresh {
			return true
		}
	}
	return false
}

// number writes the sequence numbers of d into the packets it shares with others.
func (o *Output) number(d *destination) {
	for _, i := range d.of {
		if i != notFeed {
			o.encoders[i].packet[sequenceAt] = d.feeds[i].sequence
		}
	}
}
