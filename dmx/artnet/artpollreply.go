package artnet

import "encoding/binary"

// ArtPollReply. It has no ProtVer, and its Port goes low byte first, as does EstaMan.
const (
	replyIPAt          = 10
	replyPortAt        = 14
	replyVersionAt     = 16
	replyNetAt         = 18
	replySubAt         = 19
	replyOemAt         = 20
	replyUbeaAt        = 22
	replyStatus1At     = 23
	replyEstaAt        = 24
	replyShortNameAt   = 26
	replyLongNameAt    = 44
	replyReportAt      = 108
	replyNumPortsAt    = 172
	replyPortTypesAt   = 174
	replyGoodInputAt   = 178
	replyGoodOutputAt  = 182
	replySwInAt        = 186
	replySwOutAt       = 190
	replyPriorityAt    = 194
	replyMacroAt       = 195
	replyRemoteAt      = 196
	replyStyleAt       = 200
	replyMACAt         = 201
	replyBindIPAt      = 207
	replyBindIndexAt   = 211
	replyStatus2At     = 212
	replyGoodOutputBAt = 213
	replyStatus3At     = 217
	replyRespUIDAt     = 218
	replyUserAt        = 224
	replyRefreshAt     = 226
	replyQueueAt       = 228

	replyLength = 239
	// replyShortest is the least the text of the standard asks for; devices of
	// older revisions send 207 bytes.
	replyShortest = 198

	portsPerReply = 4
)

// Bits of the fields of ArtPollReply.
const (
	PortOutput = 1 << 7 // of PortTypes: the port can put out what comes from the network
	PortInput  = 1 << 6 // of PortTypes: the port can put onto the network what comes in

	GoodOutputData    = 1 << 7 // of GoodOutput: data are put out
	GoodOutputMerging = 1 << 3 // of GoodOutput: two senders are merged
	GoodOutputShort   = 1 << 2 // of GoodOutput: the line is shorted
	GoodOutputLTP     = 1 << 1 // of GoodOutput: merging takes the latest, not the highest
	GoodOutputSACN    = 1 << 0 // of GoodOutput: the port takes sACN, not Art-Net

	Status1Normal   = 3 << 6 // of Status1: indicators in normal mode
	Status1RDM      = 1 << 1 // of Status1: the device can talk RDM
	Status2LongAddr = 1 << 3 // of Status2: Port-Addresses of 15 bits, not of 8
	Status2DHCP     = 1 << 1 // of Status2: the address comes from a DHCP server
	Status2Web      = 1 << 0 // of Status2: the device can be set up with a browser

	goodInputData = 1 << 7
	portTypeMask  = 1<<6 - 1 // 0 is DMX512
)

// Style says what kind of device answers.
type Style byte

// The styles of the standard.
const (
	StyleNode       Style = 0
	StyleController Style = 1
	StyleMedia      Style = 2
	StyleRoute      Style = 3
	StyleBackup     Style = 4
	StyleConfig     Style = 5
	StyleVisual     Style = 6
)

// String names the style.
func (s Style) String() string {
	switch s {
	case StyleNode:
		return "node"
	case StyleController:
		return "controller"
	case StyleMedia:
		return "media server"
	case StyleRoute:
		return "router"
	case StyleBackup:
		return "backup"
	case StyleConfig:
		return "configuration tool"
	case StyleVisual:
		return "visualiser"
	}
	return "device"
}

// PollReply is an ArtPollReply as it stands on the wire: up to four ports of a device. A device with more sends
// several, told apart by BindIndex. The texts are raw; [Text] makes them fit to be shown.
// Two of them can be compared.
type PollReply struct {
	IP                    [4]byte // as the device says; where the packet came from is surer
	Port                  uint16
	Version               uint16 // of the firmware
	NetSwitch, SubSwitch  byte
	Oem                   uint16
	Ubea, Status1         byte
	Esta                  uint16 // maker
	ShortName             [18]byte
	LongName              [64]byte
	Report                [64]byte // "#xxxx [yyyy] text"
	NumPorts              uint16   // 0..4
	PortTypes             [portsPerReply]byte
	GoodInput             [portsPerReply]byte
	GoodOutput            [portsPerReply]byte
	SwIn, SwOut           [portsPerReply]byte
	AcnPriority           byte
	Macro, Remote         byte
	Style                 Style
	MAC                   [6]byte
	BindIP                [4]byte
	BindIndex             byte // 0 and 1 both mean the root
	Status2               byte
	GoodOutputB           [portsPerReply]byte
	Status3               byte
	RespUID               [6]byte
	User                  uint16
	RefreshRate           uint16 // Hz; 0: not said
	BackgroundQueuePolicy byte
}

// Decode reads an ArtPollReply of any length the revisions of the standard have had, from 198 bytes on; what
// is left out is 0. After an error, which is a [Malformed], r is as it was.
//
// go-artnet's decoder is no help: it refuses what is shorter than 239 bytes, and other ports and styles
// than it knows, and drops what follows Status2.
func (r *PollReply) Decode(b []byte) error {
	if err := expect(b, OpPollReply, replyShortest); err != nil {
		return err
	}
	var f [replyLength]byte
	copy(f[:], b)
	ports := binary.BigEndian.Uint16(f[replyNumPortsAt:])
	if ports > portsPerReply {
		return ErrNumPorts
	}
	*r = PollReply{
		IP:                    [4]byte(f[replyIPAt:]),
		Port:                  binary.LittleEndian.Uint16(f[replyPortAt:]),
		Version:               binary.BigEndian.Uint16(f[replyVersionAt:]),
		NetSwitch:             f[replyNetAt],
		SubSwitch:             f[replySubAt],
		Oem:                   binary.BigEndian.Uint16(f[replyOemAt:]),
		Ubea:                  f[replyUbeaAt],
		Status1:               f[replyStatus1At],
		Esta:                  binary.LittleEndian.Uint16(f[replyEstaAt:]),
		ShortName:             [18]byte(f[replyShortNameAt:]),
		LongName:              [64]byte(f[replyLongNameAt:]),
		Report:                [64]byte(f[replyReportAt:]),
		NumPorts:              ports,
		PortTypes:             [portsPerReply]byte(f[replyPortTypesAt:]),
		GoodInput:             [portsPerReply]byte(f[replyGoodInputAt:]),
		GoodOutput:            [portsPerReply]byte(f[replyGoodOutputAt:]),
		SwIn:                  [portsPerReply]byte(f[replySwInAt:]),
		SwOut:                 [portsPerReply]byte(f[replySwOutAt:]),
		AcnPriority:           f[replyPriorityAt],
		Macro:                 f[replyMacroAt],
		Remote:                f[replyRemoteAt],
		Style:                 Style(f[replyStyleAt]),
		MAC:                   [6]byte(f[replyMACAt:]),
		BindIP:                [4]byte(f[replyBindIPAt:]),
		BindIndex:             f[replyBindIndexAt],
		Status2:               f[replyStatus2At],
		GoodOutputB:           [portsPerReply]byte(f[replyGoodOutputBAt:]),
		Status3:               f[replyStatus3At],
		RespUID:               [6]byte(f[replyRespUIDAt:]),
		User:                  binary.BigEndian.Uint16(f[replyUserAt:]),
		RefreshRate:           binary.BigEndian.Uint16(f[replyRefreshAt:]),
		BackgroundQueuePolicy: f[replyQueueAt],
	}
	return nil
}

// AppendTo appends the packet in its present length, 239 bytes. By hand, as go-artnet's
// marshalling swaps the bytes of Port in the struct itself, so that every second packet of it is wrong.
func (r *PollReply) AppendTo(dst []byte) []byte {
	at := len(dst)
	dst = append(dst, make([]byte, replyLength)...)
	f := dst[at:]
	copy(f, id)
	binary.LittleEndian.PutUint16(f[opCodeAt:], uint16(OpPollReply))
	copy(f[replyIPAt:], r.IP[:])
	binary.LittleEndian.PutUint16(f[replyPortAt:], r.Port)
	binary.BigEndian.PutUint16(f[replyVersionAt:], r.Version)
	f[replyNetAt], f[replySubAt] = r.NetSwitch, r.SubSwitch
	binary.BigEndian.PutUint16(f[replyOemAt:], r.Oem)
	f[replyUbeaAt], f[replyStatus1At] = r.Ubea, r.Status1
	binary.LittleEndian.PutUint16(f[replyEstaAt:], r.Esta)
	copy(f[replyShortNameAt:], r.ShortName[:])
	copy(f[replyLongNameAt:], r.LongName[:])
	copy(f[replyReportAt:], r.Report[:])
	binary.BigEndian.PutUint16(f[replyNumPortsAt:], r.NumPorts)
	copy(f[replyPortTypesAt:], r.PortTypes[:])
	copy(f[replyGoodInputAt:], r.GoodInput[:])
	copy(f[replyGoodOutputAt:], r.GoodOutput[:])
	copy(f[replySwInAt:], r.SwIn[:])
	copy(f[replySwOutAt:], r.SwOut[:])
	f[replyPriorityAt], f[replyMacroAt], f[replyRemoteAt] = r.AcnPriority, r.Macro, r.Remote
	f[replyStyleAt] = byte(r.Style)
	copy(f[replyMACAt:], r.MAC[:])
	copy(f[replyBindIPAt:], r.BindIP[:])
	f[replyBindIndexAt], f[replyStatus2At] = r.BindIndex, r.Status2
	copy(f[replyGoodOutputBAt:], r.GoodOutputB[:])
	f[replyStatus3At] = r.Status3
	copy(f[replyRespUIDAt:], r.RespUID[:])
	binary.BigEndian.PutUint16(f[replyUserAt:], r.User)
	binary.BigEndian.PutUint16(f[replyRefreshAt:], r.RefreshRate)
	f[replyQueueAt] = r.BackgroundQueuePolicy
	return dst
}

// Output gives the Port-Address of output i, 0..3, if the port has an output for DMX512.
func (r *PollReply) Output(i int) (address uint16, ok bool) {
	return r.address(r.SwOut[i]), r.PortTypes[i]&PortOutput != 0 && r.PortTypes[i]&portTypeMask == 0
}

// Input gives the Port-Address of input i, 0..3, if the port has an input for DMX512.
func (r *PollReply) Input(i int) (address uint16, ok bool) {
	return r.address(r.SwIn[i]), r.PortTypes[i]&PortInput != 0 && r.PortTypes[i]&portTypeMask == 0
}

// SetOutput makes port i, 0..3, an output for DMX512 at a Port-Address. All ports
// of a reply share Net and Sub-Net.
func (r *PollReply) SetOutput(i int, address uint16) {
	r.NetSwitch, r.SubSwitch = byte(address>>8&0x7f), byte(address>>4&15)
	r.SwOut[i] = byte(address & 15)
	r.PortTypes[i] = PortOutput
	r.NumPorts = max(r.NumPorts, uint16(i)+1)
}

func (r *PollReply) address(sw byte) uint16 {
	return uint16(r.NetSwitch&0x7f)<<8 | uint16(r.SubSwitch&15)<<4 | uint16(sw&15)
}
