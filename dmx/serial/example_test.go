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

// What is plugged in, with what it may be; the lister here is a stand-in for Find.
func ExampleFind() {
	find := serial.Lister(func() ([]serial.Adapter, error) {
		return []serial.Adapter{
			{Port: "/dev/ttyUSB0", USB: true, Vendor: 0x0403, Product: 0x6001, Serial: "A1B2C3", Text: "DMX box", Means: serial.MeansEither},
			{Port: "/dev/ttyS0", Means: serial.MeansConsole},
		}, nil
	})
	adapters, err := find()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, a := range adapters {
		fmt.Printf("%v: %v\n", a, a.Means)
	}
	// Output:
	// /dev/ttyUSB0, "DMX box", 0403:6001, serial number A1B2C3: a chip of plain lines and of widgets
	// /dev/ttyS0: this system's console
}

// The request for a widget's parameters.
func ExamplePacket_AppendTo() {
	p := serial.Packet{Label: serial.LabelParameters, Payload: []byte{0, 0}}
	fmt.Printf("% x\n", p.AppendTo(nil))
	// Output: 7e 03 02 00 00 00 e7
}
