package serial_test

import (
	"fmt"

	"limn/dmx"
	"limn/dmx/serial"
)

// An adapter that is not there is no error: the output says so, and opens it when it comes.
func ExampleNewOutput() {
	out, err := serial.NewOutput(serial.Config{
		Name: "bench", Kind: serial.Widget, Port: "/dev/no-such-adapter", Universe: 1,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer out.Close()
	fmt.Println(out.Send([]dmx.Frame{{255}}) != nil, out.Status().Up)
	fmt.Println(out.Status().Text)
	// Output:
	// true false
	// there is no port /dev/no-such-adapter; plug the adapter in, or correct the name (adapters are often /dev/ttyUSB0 or /dev/ttyACM0)
}

// The request for a widget's parameters.
func ExamplePacket_AppendTo() {
	p := serial.Packet{Label: serial.LabelParameters, Payload: []byte{0, 0}}
	fmt.Printf("% x\n", p.AppendTo(nil))
	// Output: 7e 03 02 00 00 00 e7
}
