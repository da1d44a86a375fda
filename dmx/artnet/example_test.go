package artnet_test

import (
	"fmt"
	"net/netip"

	"limn/dmx"
	"limn/dmx/artnet"
)

// One universe from an output to a receiver on the same machine.
func ExampleOutput() {
	heard := make(chan string, 1)
	receiver, err := artnet.Listen(netip.MustParseAddrPort("127.0.0.1:0"), func(d *artnet.Datagram) {
		heard <- fmt.Sprintf("%s, number %d, slot 1 = %d", artnet.FormatPortAddress(d.PortAddress), d.Sequence, d.Data[0])
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer receiver.Close()

	output, err := artnet.NewOutput(artnet.Config{
		Name: "bench", To: []netip.AddrPort{receiver.Addr()}, Universes: []dmx.Universe{18},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer output.Close()
	if err := output.Send([]dmx.Frame{{200}}); err != nil {
		fmt.Println(err)
	}
	fmt.Println(<-heard)
	// Output: 0:1:2 (18), number 1, slot 1 = 200
}

// A packet is laid out once and filled for each frame.
func ExampleEncoder() {
	e, err := artnet.NewEncoder(0x1234, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%x\n", e.Encode(7, []byte{255, 128, 1}))
	// Output: 4172742d4e6574000050000e070034120004ff800100
}

// Numbers tell which datagrams are missing, and which come too late.
func ExampleSequence() {
	var s artnet.Sequence
	for _, n := range []byte{254, 255, 2, 1} {
		use, missing := s.Next(n)
		fmt.Println(n, use, missing)
	}
	// Output:
	// 254 true 0
	// 255 true 0
	// 2 true 1
	// 1 false 0
}
