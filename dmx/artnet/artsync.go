package artnet

// ArtSync: nodes that have heard one hold what they are sent until the next, so that universes
// change together. A node that hears none for 4 s goes back to showing slots as they come; it ignores
// one that does not come from where its slots come from, and all of them while it merges two senders. So
// whoever syncs does it after each frame, keep-alives included, or not at all: a sender that stops
// leaves its nodes up to 4 s behind.
const syncLength = 14

// AppendSync appends an ArtSync. go-artnet's marshalling leaves its OpCode 0.
func AppendSync(dst []byte) []byte {
	return append(AppendHeader(dst, OpSync), 0, 0)
}

// DecodeSync checks an ArtSync, which has no content. Its error is a [Malformed].
func DecodeSync(b []byte) error { return expect(b, OpSync, syncLength) }
