package artnet

// ArtAddress, which programs a device. limn sends none by itself.
const (
	addressNetAt         = 12
	addressBindAt        = 13
	addressShortAt       = 14
	addressLongAt        = 32
	addressSwInAt        = 96
	addressSwOutAt       = 100
	addressSubAt         = 104
	addressPriorityAt    = 105
	addressCommandAt     = 106
	addressLength        = 107
	addressProgram       = 0x80 // this bit set: take the value in the others
	addressLeave         = 0x7f // change nothing; 0 would reset the device to its own switches
	addressLeavePriority = 255
)

// Command is what an ArtAddress asks of a device.
type Command byte

// Some commands of the standard.
const (
	CommandNone        Command = 0
	CommandCancelMerge Command = 1 // the next ArtDmx ends the merging of two senders
	CommandNormal      Command = 2 // indicators as usual
	CommandMute        Command = 3 // indicators off
	CommandIdentify    Command = 4 // indicators flash quickly
)

// Address is an ArtAddress as it stands on the wire. [NewAddress] makes one that changes nothing.
type Address struct {
	NetSwitch   byte // bit 7 set: program; 0: back to the device's own switch; 0x7f: leave
	BindIndex   byte
	ShortName   [18]byte // all zero: leave
	LongName    [64]byte
	SwIn, SwOut [portsPerReply]byte // as NetSwitch
	SubSwitch   byte                // as NetSwitch
	AcnPriority byte                // 255: leave
	Command     Command
}

// NewAddress makes an ArtAddress that changes nothing, for the part of a device that bind tells.
func NewAddress(bind byte) Address {
	leave := [portsPerReply]byte{addressLeave, addressLeave, addressLeave, addressLeave}
	return Address{
		NetSwitch: addressLeave, BindIndex: bind, SwIn: leave, SwOut: leave, SubSwitch: addressLeave,
		AcnPriority: addressLeavePriority,
	}
}

// SetOutput moves output i, 0..3, to a Port-Address. All ports of a part share Net and Sub-Net.
func (a *Address) SetOutput(i int, address uint16) {
	a.NetSwitch = addressProgram | byte(address>>8&0x7f)
	a.SubSwitch = addressProgram | byte(address>>4&15)
	a.SwOut[i] = addressProgram | byte(address&15)
}

// Decode reads an ArtAddress. After an error, which is a [Malformed], a is as it was.
func (a *Address) Decode(b []byte) error {
	if err := expect(b, OpAddress, addressLength); err != nil {
		return err
	}
	*a = Address{
		NetSwitch:   b[addressNetAt],
		BindIndex:   b[addressBindAt],
		ShortName:   [18]byte(b[addressShortAt:]),
		LongName:    [64]byte(b[addressLongAt:]),
		SwIn:        [portsPerReply]byte(b[addressSwInAt:]),
		SwOut:       [portsPerReply]byte(b[addressSwOutAt:]),
		SubSwitch:   b[addressSubAt],
		AcnPriority: b[addressPriorityAt],
		Command:     Command(b[addressCommandAt]),
	}
	return nil
}

// AppendTo appends the packet. By hand: go-artnet's marshalling leaves the OpCode 0.
func (a *Address) AppendTo(dst []byte) []byte {
	dst = append(AppendHeader(dst, OpAddress), a.NetSwitch, a.BindIndex)
	dst = append(append(dst, a.ShortName[:]...), a.LongName[:]...)
	dst = append(append(dst, a.SwIn[:]...), a.SwOut[:]...)
	return append(dst, a.SubSwitch, a.AcnPriority, byte(a.Command))
}
