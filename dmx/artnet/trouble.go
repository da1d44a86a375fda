package artnet

import (
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

// trouble is what an error of a socket means for a node.
type trouble struct {
	words string // cause and cure
	// earlier: the error answers an earlier datagram, this one may still be sent.
	earlier bool
	// passing: the socket is good, only this frame is lost.
	passing bool
	// hold is how long after its last sign the trouble is taken to last, for news of an
	// earlier datagram comes only now and then.
	hold time.Duration
}

func troubleOf(err error) trouble {
	switch udp.CauseOf(err) {
	case udp.Refused:
		return trouble{words: "nobody listens there; switch the node on or start the receiver (frames go on being sent)", earlier: true, hold: refusedHold}
	case udp.HostUnreachable:
		return trouble{words: "nobody on the network answers to that address; check the node's power, its cable and its address", earlier: true, hold: silentHold}
	case udp.NetUnreachable, udp.InterfaceGone:
		return trouble{words: cutWords}
	case udp.NoBuffers:
		return trouble{words: "the system's send queue is full, so frames are lost; send fewer universes or less often", passing: true}
	case udp.Forbidden:
		return trouble{words: "this computer does not allow it; let limn through its firewall, and name a node, not a broadcast address"}
	case udp.AddressGone:
		return trouble{words: "this computer's own address has changed; sending starts again from the new one"}
	}
	return trouble{words: err.Error()}
}
