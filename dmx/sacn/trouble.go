package sacn

import (
	"errors"
	"time"

	"limn/dmx/internal/udp"
)

const (
	// refusedHold leaves the rest of a second for whoever looks at the status now and then, as
	// a receiver that is back must be told of within it.
	refusedHold = 700 * time.Millisecond
	// rationedHold is for peers whose kernel says "nobody listens" about once a second only
	// (Linux: icmp_ratelimit), however often it is asked. They are known by a refusal soon
	// after the trouble seemed to be over.
	rationedHold   = 2 * time.Second
	rationedWithin = 1500 * time.Millisecond
	// An address that does not answer is asked for three times, a second apart,
	// before the sender hears of it (RFC 4861, 10, and Linux's defaults for IPv4).
	silentHold = 4 * time.Second
)

// trouble is what an error of a socket means for a link.
type trouble struct {
	words string // cause and cure
	// earlier: the error answers an earlier packet, this one may still be sent.
	earlier bool
	// passing: the socket is good, only this frame is lost.
	passing bool
	// hold is how long after its last sign the trouble is taken to last, for news of an
	// earlier packet comes only now and then.
	hold time.Duration
}

func troubleOf(err error) trouble {
	switch udp.CauseOf(err) {
	case udp.Refused:
		return trouble{words: "nobody listens there; switch the receiver on (frames go on being sent)", earlier: true, hold: refusedHold}
	case udp.HostUnreachable:
		return trouble{words: "nobody on the network answers to that address; check the receiver's power, its cable and its address", earlier: true, hold: silentHold}
	case udp.NetUnreachable:
		return trouble{words: "no network leads there; plug the cable in, and give this computer an address in the receiver's network"}
	case udp.NoBuffers:
		return trouble{words: "the system's send queue is full, so frames are lost; send fewer universes or less often", passing: true}
	case udp.Forbidden:
		return trouble{words: "this computer does not allow it; let limn through its firewall"}
	case udp.AddressGone:
		return trouble{words: "this computer's own address has changed; sending starts again from the new one"}
	case udp.InterfaceGone:
		return trouble{words: "the network interface is gone; plug it in again"}
	case udp.TooManyOpenFiles:
		return trouble{words: "this computer has no more sockets to give; end programs that hold many"}
	}
	return trouble{words: err.Error()}
}

// saying is trouble as the operator is told of it.
type saying struct {
	words string // empty when all is well
	until time.Duration
	// open: it lasts until a send goes well; else it ends by itself.
	open bool
}

func (s saying) holds(now time.Duration) bool { return s.words != "" && (s.open || now <= s.until) }

var errCableOut = errors.New("the cable is out; plug it in (frames go on being sent)")
