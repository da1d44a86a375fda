package sacn

import (
	"bytes"
	"net/netip"
	"time"

	"limn/dmx"
)

// lossAfter is how long a sender may be silent in a universe before it counts as lost
// there: E131_NETWORK_DATA_LOSS_TIMEOUT (ANSI E1.31-2018, 6.7.1 and appendix A).
const lossAfter = 2500 * time.Millisecond

// rateOver is what a rate is counted over.
const rateOver = time.Second

// perAddressPriority is a start code outside E1.31 whose slots are priorities, not levels.
const perAddressPriority = 0xdd

// stream is one sender in one universe.
type stream struct {
	key     streamKey
	raw     []byte // the name as sent
	s       Source // what is told of it; Silent and Slots are filled in when asked
	levels  bool   // it has sent levels and not ended them
	last    time.Duration
	litAt   time.Duration // of its last levels
	frame   dmx.Frame
	slots   int
	numbers byte // sequence number of the last packet used

	interval, counted time.Duration // between the last two packets; since when packets are counted
	count             int
}

type streamKey struct {
	cid      CID
	universe uint16
}

// take takes a packet of this stream and says whether its levels may be used.
func (t *stream) take(d *Data, from netip.AddrPort, now time.Duration, first bool) bool {
	switch v, missing := judge(t.numbers, d.Sequence); {
	case first, now-t.last > lossAfter: // lost senders begin anew
	case v == repeated:
		t.s.Repeated++
		return false
	case v == late:
		t.s.Late++
		return false
	case v == restarted:
		t.s.Restarts++
	default:
		t.s.Lost += int64(missing)
	}
	t.numbers = d.Sequence
	if first || !bytes.Equal(t.raw, d.Name) {
		t.raw = append(t.raw[:0], d.Name...)
		t.s.Name = CleanName(d.Name)
	}
	t.s.From, t.s.Priority, t.s.Sync = from, d.Priority, d.Sync
	t.time(now, first)
	t.s.Received++
	switch {
	case d.Options&StreamTerminated != 0:
		t.levels = false
		t.s.Terminated = true
		return false
	case d.Options&Preview != 0:
		t.s.Previews++
		return false
	case d.StartCode != 0:
		t.s.Others++
		t.s.PerAddress = t.s.PerAddress || d.StartCode == perAddressPriority
		return false
	}
	t.s.Terminated = false
	t.levels = true
	t.litAt = now
	t.slots = copy(t.frame[:], d.Slots)
	clear(t.frame[t.slots:])
	return true
}

// jitterWeight is the share of a new value in the mean (RFC 3550, 6.4.1).
const jitterWeight = 16

// time keeps rate, jitter and gaps.
func (t *stream) time(now time.Duration, first bool) {
	if first {
		t.last, t.counted = now, now
		return
	}
	between := now - t.last
	if between <= lossAfter { // else it was away
		if t.interval > 0 {
			off := (between - t.interval).Abs()
			t.s.Jitter += (off - t.s.Jitter) / jitterWeight
		}
		t.interval = between
		t.s.LongestGap = max(t.s.LongestGap, between)
	}
	t.last = now
	t.count++
	if over := now - t.counted; over >= rateOver {
		t.s.Rate = float64(t.count) / over.Seconds()
		t.count, t.counted = 0, now
	}
}

// lit says that its levels count.
func (t *stream) lit(now time.Duration) bool { return t.levels && now-t.litAt <= lossAfter }

// beats says that a's levels go before b's: by priority, and between equals by CID, so that who
// came first does not matter (ANSI E1.31-2018, 6.2.3.5).
func (t *stream) beats(u *stream) bool {
	if t.s.Priority != u.s.Priority {
		return t.s.Priority > u.s.Priority
	}
	return bytes.Compare(t.key.cid[:], u.key.cid[:]) < 0
}
