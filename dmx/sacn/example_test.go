package sacn_test

import (
	"fmt"
	"net/netip"
	"time"

	"limn/dmx"
	"limn/dmx/sacn"
)

// A receiver and a sender on loopback. Without To, frames go to the universes' multicast groups
// on the interface that is named.
func Example() {
	heard := make(chan string, 1)
	r, err := sacn.Listen(sacn.ListenConfig{Addr: netip.MustParseAddrPort("127.0.0.1:0")}, func(d *sacn.Datagram) {
		select {
		case heard <- fmt.Sprintf("%s: universe %d at priority %d, slot 1 is %d", sacn.CleanName(d.Name), d.Universe, d.Priority, d.Slots[0]):
		default:
		}
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer r.Close()

	out, err := sacn.New(sacn.Config{
		Name: "bench", To: []netip.AddrPort{r.Addr()},
		Universes: []dmx.Universe{1}, Offset: 100, Priority: new(120),
		Source: "Kittiwake", CID: sacn.DeriveCID(sacn.NewCID(), "Kittiwake", "bench"),
		Terminate: true, // receivers are told when it ends
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer out.Close()
	frames := make([]dmx.Frame, 1)
	frames[0][0] = 255
	if err := out.Send(frames); err != nil {
		fmt.Println(err)
		return
	}
	select {
	case line := <-heard:
		fmt.Println(line)
	case <-time.After(10 * time.Second):
		fmt.Println("nothing arrived")
	}
	// Output: Kittiwake: universe 101 at priority 120, slot 1 is 255
}

// The packets alone, without a network.
func ExampleData_Append() {
	d := sacn.Data{CID: sacn.CID{1}, Name: []byte("Kittiwake"), Priority: sacn.DefaultPriority, Universe: 1, Slots: []byte{255, 128}}
	b, err := d.Append(nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	var back sacn.Data
	fmt.Println(len(b), back.Decode(b), back.Slots, back.Decode(b[:127]))
	// Output: 128 <nil> [255 128] malformed packet: length of the root layer is not that of the datagram (5.4)
}
