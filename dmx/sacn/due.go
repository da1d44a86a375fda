package sacn

import "time"

// When a universe goes out (ANSI E1.31-2018, 6.6.2): on change, three times more, then every 800 to 1000 ms. The send
// loop calls Send for a change, for three repeats of it, for a keep-alive after 800 ms, for the
// farewell, and 44 times a second while an output is in trouble.
const (
	repeats = 3
	// keepAlive is when an unchanged universe goes along with others that change.
	keepAlive = 800 * time.Millisecond
	// keepSelf is when the output itself sends what nobody has asked it to send: after the send loop, which
	// asks at the first frame past 800 ms, and well before the standard's 1000 ms.
	keepSelf = 860 * time.Millisecond
	// tick is how often the output looks after itself.
	tick = 20 * time.Millisecond
	// catchUp is how often it tries to bring a link that is behind up to date by itself.
	catchUp = 200 * time.Millisecond
	// discoverEvery is E131_UNIVERSE_DISCOVERY_INTERVAL (ANSI E1.31-2018, appendix A).
	discoverEvery = 10 * time.Second
	// lookAtInterface is how often the system is asked about the interface.
	lookAtInterface = 500 * time.Millisecond
)

// feed is what one universe is to an output.
type feed struct {
	changed bool // by this Send
	owed    int8 // more times it goes out, as a packet may be lost
	at      time.Duration
}

// occasion is why an output sends.
type occasion byte

const (
	changing  occasion = iota // some universe has changed
	repeating                 // Send was called, but none has
	tending                   // nobody called; the output looks after itself
)

// findDue puts into o.due which universes go out to all, and counts their numbers up.
func (o *Output) findDue(why occasion, now time.Duration) {
	limit := time.Duration(0) // a universe that is older goes out: keep-alive and farewell
	switch {
	case why == tending:
		limit = keepSelf
	case why == changing, o.owes(), o.failing: // when failing, Send is called for the sake of a link in trouble
		limit = keepAlive
	}
	o.due = o.due[:0]
	for i := range o.feeds {
		f := &o.feeds[i]
		switch {
		case f.changed:
			f.changed = false
			f.owed = repeats
		case f.owed > 0 && why != tending:
			f.owed--
		case now-f.at >= limit:
		default:
			continue
		}
		f.at = now
		o.encoders[i].packet[sequenceAt]++
		o.due = append(o.due, i)
	}
	if len(o.due) > 0 && o.cfg.Sync != 0 {
		o.syncPacket[syncSequenceAt]++
	}
}

// owes says that a repeat of some universe is still due.
func (o *Output) owes() bool {
	for i := range o.feeds {
		if o.feeds[i].owed > 0 {
			return true
		}
	}
	return false
}
