package sacn

// window is how far back a number counts as late; further back, the sender has
// started again (ANSI E1.31-2018, 6.7.2).
const window = 20

// verdict is what a sequence number says of its packet.
type verdict byte

const (
	inOrder   verdict = iota // to be used
	restarted                // to be used: so far back that its sender has started again
	repeated                 // to be dropped: the number of the last one again
	late                     // to be dropped: overtaken by a later one
)

// used says that the packet is to be used.
func (v verdict) used() bool { return v <= restarted }

// judge compares a number with that of the last packet used, by the rule of ANSI E1.31-2018, 6.7.2, and
// says how many between them are missing. A number far ahead may also come of a restart: that cannot be told apart.
func judge(last, next byte) (v verdict, missing int) {
	switch ahead := int(int8(next - last)); {
	case ahead > 0:
		return inOrder, ahead - 1
	case ahead == 0:
		return repeated, 0
	case ahead > -window:
		return late, 0
	}
	return restarted, 0
}
