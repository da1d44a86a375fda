package artnet

import "net/netip"

const (
	// sequences is how many numbers there are: 1..255.
	sequences = 255
	// window is how far back a number counts as late; further back, the sender has
	// started again. The value of ANSI E1.31-2018, 6.7.2, as Art-Net gives none.
	window = 20
)

// nextSequence is the number after n: 1..255, then 1. 0 is never used by who counts.
func nextSequence(n byte) byte {
	if n == sequences {
		return 1
	}
	return n + 1
}

// Sequence follows the numbers of one sender for one Port-Address. Its zero value has heard none.
type Sequence struct{ last byte }

// Next takes the number of a datagram. It says whether the datagram is to be used,
// or is a late or repeated one to be dropped, and how many before it are missing. A number
// far ahead may also mean that the sender has started again: that cannot be told apart.
func (s *Sequence) Next(n byte) (use bool, missing int) {
	if n == 0 || s.last == 0 {
		s.last = n
		return true, 0
	}
	// The distance on a circle of 255, -127..127.
	ahead := (int(n) - int(s.last) + sequences) % sequences
	if ahead > sequences/2 {
		ahead -= sequences
	}
	if ahead <= 0 && ahead > -window {
		return false, 0
	}
	s.last = n
	return true, max(ahead-1, 0)
}

// maxStreams bounds what strangers on a network can make [Sequences] remember.
const maxStreams = 4096

type stream struct {
	from        netip.AddrPort
	portAddress uint16
}

// Sequences follows any number of senders, each Port-Address of each apart. Its zero value is ready.
// One goroutine at a time may use it.
type Sequences struct{ streams map[stream]*Sequence }

// Next takes the number of a datagram, as [Sequence.Next] does. When it remembers too many streams it
// forgets them all: a flood of made-up senders costs each real one a gap at most.
func (s *Sequences) Next(d *Datagram) (use bool, missing int) {
	key := stream{d.From, d.PortAddress}
	q := s.streams[key]
	if q == nil {
		if len(s.streams) >= maxStreams {
			clear(s.streams)
		}
		if s.streams == nil {
			s.streams = map[stream]*Sequence{}
		}
		q = new(Sequence)
		s.streams[key] = q
	}
	return q.Next(d.Sequence)
}
