package serial

import (
	"fmt"
	"time"

	"limn/dmx"
)

// replyWithin is how long a widget may take to tell its parameters. Some never
// do, and send all the same.
const replyWithin = 500 * time.Millisecond

// readSlice is how long a read may take before it looks whether it is still wanted.
const readSlice = 50 * time.Millisecond

// breakUnit is the unit in which a widget counts break and mark (from memory of
// the protocol's text, as are the bounds below).
const breakUnit = 10670 * time.Nanosecond

// Parameters are what a widget says of itself.
type Parameters struct {
	Firmware uint16        // high byte: major
	Break    time.Duration // that it makes on the line
	Mark     time.Duration // after the break
	Rate     int           // packets a second on the line; 0 = as fast as it can
}

// parametersBytes is the shortest reply; what follows belongs to the user.
const parametersBytes = 5

// DecodeParameters reads the payload of a widget's reply.
func DecodeParameters(payload []byte) (Parameters, error) {
	if len(payload) < parametersBytes {
		return Parameters{}, fmt.Errorf("serial: %d bytes of parameters; at least %d are wanted", len(payload), parametersBytes)
	}
	return Parameters{
		Firmware: uint16(payload[0]) | uint16(payload[1])<<8,
		Break:    time.Duration(payload[2]) * breakUnit,
		Mark:     time.Duration(payload[3]) * breakUnit,
		Rate:     int(payload[4]),
	}, nil
}

// widget sends packets to an adapter that times the line by itself and goes on
// repeating the last one.
type widget struct {
	port   port
	packet []byte // label 6, full length, only the slots change
}

func newWidget(p port) *widget {
	return &widget{port: p, packet: Packet{LabelSend, make([]byte, lineBytes)}.AppendTo(nil)}
}

func (w *widget) send(f *dmx.Frame) error {
	w.packet[packetHead] = startCode
	copy(w.packet[packetHead+1:], f[:])
	return writeAll(w.port, w.packet)
}

// ask requests the widget's parameters, which does not stop its output.
func (w *widget) ask() error {
	const noUserData = "\x00\x00"
	return writeAll(w.port, Packet{LabelParameters, []byte(noUserData)}.AppendTo(nil))
}

// answer waits for the parameters. ok is false when they do not come in time, or when
// stop is closed before.
func (w *widget) answer(stop <-chan struct{}) (got Parameters, ok bool) {
	var s Scanner
	buf := make([]byte, 64)
	for deadline := time.Now().Add(replyWithin); !ok && time.Now().Before(deadline); {
		select {
		case <-stop:
			return Parameters{}, false
		default:
		}
		if w.port.SetReadTimeout(readSlice) != nil {
			return Parameters{}, false
		}
		n, err := w.port.Read(buf)
		if err != nil { // the next write says why
			return Parameters{}, false
		}
		s.Write(buf[:n], func(p Packet) {
			if p.Label != LabelParameters || ok {
				return
			}
			got, err = DecodeParameters(p.Payload)
			ok = err == nil
		})
	}
	return got, ok
}
