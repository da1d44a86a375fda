//go:build linux

package main

import (
	"fmt"
	"net/netip"
	"testing"

	"go.uber.org/goleak"

	"limn/dmx/artnet/artnettest"
)

// A found node that moves is followed, with the present light at once; one that goes and comes back is told in words.
func TestRunFollowsANode(t *testing.T) {
	defer goleak.VerifyNone(t)
	port, err := artnettest.FreePort()
	if err != nil {
		t.Fatal(err)
	}
	node := nodeAt(t, artnettest.Config{
		Addr: netip.AddrPortFrom(netip.MustParseAddr("127.0.0.5"), port), Name: "pier", Outputs: []uint16{9},
	})
	defer node.Close()
	dir := shootWith(t, fmt.Sprintf(`
[[output]]
name = "bench"
kind = "artnet"
to = "discover"
interface = "127.0.0.1"
port = %d
poll = ["127.0.0.5"]
universes = [1]
`, port))
	want := lastTraced(t, dir, "0s go bow")
	desk := start(t, "run", dir)
	desk.err.says(t, "nothing is sent before the first command")
	desk.typed("go bow")
	desk.err.says(t, `network: "pier" (127.0.0.5) is a node that puts out 0:0:9 (9)`)
	desk.out.says(t, "bow: settled")
	if _, received, _ := node.Frame(0); received != 0 {
		t.Errorf("a node with another Port-Address was sent %d packets", received)
	}
	node.Move(0, 1)
	desk.err.says(t, `network: "pier" (127.0.0.5) now puts out 0:0:1 (1)`)
	waitFor(t, "the present light at the node that moved", func() bool {
		frame, _, _ := node.Frame(0)
		return string(frame[:]) == string(want)
	})
	node.Merge(0, true)
	desk.err.says(t, `"pier" (127.0.0.5) is sent Port-Address 0:0:1 (1) by two senders`)
	desk.typed("quit")
	if status := desk.wait(); status != statusDone {
		t.Errorf("status %d %s", status, desk.err)
	}
}

// While discovery cannot begin, the output is down and the others go on; it begins by itself.
func TestRunWaitsForTheNetwork(t *testing.T) {
	defer goleak.VerifyNone(t)
	ear, addr := listener(t, "--artnet", "127.0.0.1:0")
	dir := shootWith(t, artNetTo(addr, "leave")+`
[[output]]
name = "found"
kind = "artnet"
to = "discover"
interface = "no-such-net"
universes = [1]
`)
	desk := start(t, "run", dir, "--yes")
	desk.typed("go bow")
	desk.err.says(t, `output found: down, Art-Net nodes on no-such-net: there is no interface or own address "no-such-net"`)
	ear.hears(0, "bow's light", func(h *heardLine) bool { return near(h.levelOf("sky"), -1, 0) && h.Universes["1"].Received > 0 })
	desk.typed("quit")
	if status := desk.wait(); status != statusDone {
		t.Errorf("status %d %s", status, desk.err)
	}
	ear.interrupt()
	ear.wait()
}

// Two runs that send one universe by multicast notice each other. Loopback is a network of its own.
func TestRunNoticesAnotherSender(t *testing.T) {
	defer goleak.VerifyNone(t)
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	air := func(name string, priority int) string {
		return shootWith(t, fmt.Sprintf(`
[[output]]
name = %q
kind = "sacn"
interface = "127.0.0.1"
universes = [1]
offset = 63990
priority = %d
`, name, priority))
	}
	one := start(t, "run", air("first", 100), "--headless", "--do", "0s go bow")
	one.out.says(t, "bow: ")
	two := start(t, "run", air("second", 150), "--headless", "--do", "0s go beam")
	one.err.says(t, `output first: sACN universe 63991 is also sent by "limn Kittiwake"`)
	two.err.says(t, "with priority 100, below ours of 150: receivers follow this computer")
	two.interrupt()
	two.wait()
	one.err.says(t, "output first: the other sender of sACN universe 63991 is gone")
	one.interrupt()
	one.wait()
}
