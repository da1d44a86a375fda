// Package artnet is Art-Net 4 over UDP. [Output] sends ArtDmx to nodes that are named or found, [Discovery] finds
// them, [Find] does so once, [Receiver] hears ArtDmx, and [TimeSender] sends time code. Each message has a
// file of its own.
//
// Numbers. A Port-Address is 15 bits, 0..32767: Net (7), Sub-Net (4) and Universe (4).
// It counts from 0 while users and sACN count universes from 1, and some nodes print
// "universe 1" on Port-Address 0. So this package adds the offset that it is given and
// nothing else. Sequence numbers run 1..255 and start over at 1; 0 says that a sender does not
// count. Each node's numbers of each Port-Address follow each other without a gap.
//
// Sending is unicast, as the standard's present revision has it, from a port of
// the system's choice. Each destination has a connected socket of its own, because
// only such a socket learns that nobody listens at the far end. A node that is
// missing, a cable that is out, a full queue are counted and told, and sending goes on. What has changed is sent, three times more,
// and again before a second is over.
//
// Discovery binds the standard's port on one interface's own address, and asks that network, every 2.75 s. It follows the nodes: one that
// appears, moves or returns is sent the present slots at once, from discovery's own goroutine; one that vanishes (no answer to three
// polls and for 9 s, while polls can go out) is dropped. Nothing that arrives can make it remember or send more than its
// constants say, and it deals with addresses of its network only. Time is monotonic everywhere; setting the clock moves nothing.
//
// Decoding checks everything before it believes anything and keeps nothing of what
// it refused. The layout of an ArtDmx comes from go-artnet's codec, once for each universe. For the rest the codec is no help, and where it
// is not, the message's file says why: it refuses the shorter packets of earlier revisions, takes what does not exist, and
// marshals most messages without their OpCode.
//
// It refuses to know what the slots mean and when a frame is due.
//
// Art-Net is a trade name of its owner, who designed the protocol.
package artnet
