package main

import (
	"net"
	"testing"
	"time"

	"go.uber.org/goleak"

	"limn/dmx/artnet"
)

// Time code counts from the first command on, frame by frame.
func TestRunSendsTimeCode(t *testing.T) {
	defer goleak.VerifyNone(t)
	conn, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	ear, addr := listener(t, "--artnet", "127.0.0.1:0")
	dir := shootWith(t, artNetTo(addr, "leave")+`
[timecode]
to = "`+conn.LocalAddr().String()+`"
rate = 30
stream = 3
`)
	desk := start(t, "run", dir)
	desk.err.says(t, "nothing is sent before the first command")
	desk.typed("go bow")
	last := -1
	buf := make([]byte, 64)
	for last < 45 {
		conn.SetReadDeadline(time.Now().Add(patience))
		n, _, err := conn.ReadFromUDPAddrPort(buf)
		if err != nil {
			t.Fatal(err)
		}
		var c artnet.TimeCode
		if err := c.Decode(buf[:n]); err != nil {
			t.Fatal(err)
		}
		at := int(c.Seconds)*30 + int(c.Frame)
		if c.Stream != 3 || c.Rate != artnet.SMPTE || c.Minutes != 0 || at <= last || last < 0 && at > 5 {
			t.Fatalf("%v after frame %d", c, last)
		}
		last = at
	}
	desk.typed("quit")
	desk.wait()
	ear.interrupt()
	ear.wait()
}
