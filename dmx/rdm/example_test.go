package rdm_test

import (
	"context"
	"fmt"
	"net/netip"

	"limn/dmx/rdm"
	"limn/dmx/rdm/rdmtest"
)

func ExampleClient_Fixtures() {
	node := rdmtest.NewNode(1, 0, &rdmtest.Device{
		UID: rdm.MakeUID(rdm.Prototype, 1), Label: "lantern", Model: "small spot", Address: 17, Mode: 1,
		Modes: []rdm.Mode{{Number: 1, Slots: 4, Name: "4 channels"}},
	})
	at := netip.MustParseAddrPort("127.0.0.2:6454")
	var client *rdm.Client
	client, err := rdm.NewClient(rdm.Config{Node: at, PortAddress: 1, Send: func(_ netip.AddrPort, b []byte) error {
		for _, a := range node.Answer(b) { // a network would carry it there and back
			client.Hear(at, a)
		}
		return nil
	}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fixtures, err := client.Fixtures(context.Background())
	for _, f := range fixtures {
		fmt.Printf("%v %s (%s): address %d, %d slots in %s\n", f.UID, f.Label, f.Model, f.StartAddress, f.Footprint, f.ModeName())
		for _, warning := range rdm.Disagree(f, rdm.Patch{Name: "lantern", Address: 21, Footprint: 4}) {
			fmt.Println(warning)
		}
	}
	fmt.Println(err)
	// Output:
	// 7ff0:00000001 lantern (small spot): address 17, 4 slots in mode 1 "4 channels"
	// "lantern": lantern listens to address 17, the file says 21; set the device to 21, or write address = 17
	// <nil>
}
