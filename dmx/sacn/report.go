package sacn

import (
	"fmt"
	"net/netip"
	"strings"
	"time"
)

// Counters count what a receiver was sent.
type Counters struct {
	Received  int64 // good data packets, those in wrong order included
	Syncs     int64 // synchronization packets in order
	Discovery int64 // universe discovery packets
	Malformed int64 // refused
	Unwanted  int64 // good data for universes that were not asked for
	Overflow  int64 // of senders for whom there was no room
}

// Universe is what a receiver knows of one universe.
type Universe struct {
	Number  uint16   // on the wire
	Sources []Source // the one whose levels count first, if there is one
	// Conflict: two or more senders with the same, highest priority. Receivers differ in what
	// they do then; this one takes the levels of the lowest CID.
	Conflict bool
}

// ConflictText has the words for a conflict and its cure, and is empty without one.
func (u *Universe) ConflictText() string {
	if !u.Conflict {
		return ""
	}
	var words []string
	for i := range u.Sources {
		s := &u.Sources[i]
		if s.Present && s.Priority == u.Sources[0].Priority {
			words = append(words, s.Title())
		}
	}
	return fmt.Sprintf("universe %d is sent by %d senders at priority %d, %s; stop one, or give one a higher priority",
		u.Number, len(words), u.Sources[0].Priority, strings.Join(words, " and "))
}

// Source is one sender in one universe.
type Source struct {
	CID        CID
	Name       string // cleaned; anybody can call himself anything
	From       netip.AddrPort
	Priority   byte   // of its last packet
	Sync       uint16 // synchronization address, 0 for none
	Synced     bool   // its synchronization packets come
	Present    bool   // its levels came within 2.5 s and were not ended
	InForce    bool   // its levels count
	Terminated bool   // it said that it ends
	PerAddress bool   // it sends priorities by address, which this receiver does not follow

	// Counts of packets.
	Received int64 // used, in order
	Lost     int64 // numbers that are missing
	Late     int64 // overtaken, dropped
	Repeated int64 // came twice, dropped
	Restarts int64 // numbers that began anew
	Previews int64 // for visualizers, not used
	Others   int64 // with another start code than that of levels

	Rate       float64       // packets a second over the last second or so
	Jitter     time.Duration // mean difference between intervals, as RFC 3550, 6.4.1
	LongestGap time.Duration // between two packets, not counting when it was lost
	Silent     time.Duration // since its last packet
	Slots      []byte        // its last levels
}

// Title is how a sender is named: its name and its address.
func (s *Source) Title() string {
	if s.Name == "" {
		return s.From.Addr().String()
	}
	return fmt.Sprintf("%q (%v)", s.Name, s.From.Addr())
}
