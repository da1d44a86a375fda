// Package artnet is Art-Net 4 over UDP: [Output] sends ArtDmx to nodes that are named,
// [Receiver] hears it.
//
// Numbers. A Port-Address is 15 bits, 0..32767: Net (7), Sub-Net (4) and Universe (4).
// It counts from 0 while users and sACN count universes from 1, and some nodes print
// "universe 1" on Port-Address 0. So this package adds the offset that it is given and
// nothing else. Sequence numbers run 1..255 and start over at 1; 0 says that a sender does not count.
//
// Sending is unicast only, as the standard's present revision has it, from a port of
// the system's choice. Each destination has a connected socket of its own, because
// only such a socket learns that nobody listens at the far end. A node that is
// missing, a cable that is out, a full queue are counted and told, and sending goes on.
//
// Decoding checks everything before it believes anything and keeps nothing of what
// it refused. The layout of a packet comes from go-artnet's codec, once for each universe; its
// decoder is too lenient for a network (it takes a 16-bit Port-Address and looks at half
// of the protocol version), and its marshalling allocates, so both are done here.
//
// It refuses to know what the slots mean, when a frame is due, and who else sends.
//
// Art-Net is a trade name of its owner, who designed the protocol.
package artnet
