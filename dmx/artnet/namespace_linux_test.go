package artnet_test

import (
	"fmt"
	"net"
	"net/netip"
	"os"
	"os/exec"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"limn/dmx"
	"limn/dmx/artnet"
)

// inNamespace marks the run of this test binary that has a network of its own.
const inNamespace = "LIMN_TEST_NAMESPACE"

// A real cable between two network stacks, cut and mended, and this computer's address changed under the sockets: light is back
// within a second each time, and discovery finds its way. Needs rights to make network namespaces.
func TestRealCable(t *testing.T) {
	if os.Getenv(inNamespace) == "" {
		for _, tool := range []string{"unshare", "ip"} {
			if _, err := exec.LookPath(tool); err != nil {
				t.Skipf("%s is not installed, and this test makes networks with it", tool)
			}
		}
		if out, err := exec.Command("unshare", "-n", "ip", "link", "add", "limn0", "type", "veth", "peer", "name", "limn1").CombinedOutput(); err != nil {
			t.Skipf("no rights to make a network: %v: %s", err, out)
		}
		cmd := exec.Command("unshare", "-n", os.Args[0], "-test.run=^TestRealCable$", "-test.v", "-test.timeout=60s")
		cmd.Env = append(os.Environ(), inNamespace+"=1")
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%v\n%s", err, out)
		}
		return
	}
	ip := func(args ...string) {
		t.Helper()
		if out, err := exec.Command("ip", args...).CombinedOutput(); err != nil {
			t.Fatalf("ip %q: %v: %s", args, err, out)
		}
	}
	ip("link", "set", "lo", "up")
	ip("link", "add", "limn0", "type", "veth", "peer", "name", "limn1")
	far := exec.Command("unshare", "-n", "sleep", "60")
	if err := far.Start(); err != nil {
		t.Fatal(err)
	}
	defer far.Wait()
	defer far.Process.Kill()
	pid := strconv.Itoa(far.Process.Pid)
	own, err := os.Readlink("/proc/self/ns/net")
	if err != nil {
		t.Fatal(err)
	}
	until(t, "the far end has a namespace of its own", func() bool {
		theirs, err := os.Readlink("/proc/" + pid + "/ns/net")
		return err == nil && theirs != own
	})
	ip("link", "set", "limn1", "netns", pid)
	ip("addr", "add", "10.66.0.1/24", "dev", "limn0")
	ip("link", "set", "limn0", "up")
	inFar := func(args ...string) {
		t.Helper()
		args = append([]string{"-t", pid, "-n", "ip"}, args...)
		if out, err := exec.Command("nsenter", args...).CombinedOutput(); err != nil {
			t.Fatalf("nsenter %q: %v: %s", args, err, out)
		}
	}
	inFar("addr", "add", "10.66.0.2/24", "dev", "limn1")
	inFar("link", "set", "limn1", "up")

	until(t, "the cable is live", func() bool {
		all, err := artnet.Networks()
		return err == nil && slices.ContainsFunc(all, func(n artnet.Network) bool { return n.Interface == "limn0" })
	})

	// The node's sockets live where they were made.
	node := &realNode{lit: make(chan lit, 1024)}
	if err := node.open(pid); err != nil {
		t.Fatal(err)
	}
	defer node.close()

	var events sync.Map
	d, err := artnet.Discover(artnet.DiscoveryConfig{OnEvent: func(e artnet.Event) { events.Store(e.Kind, e.Text) }})
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	found, err := artnet.NewOutput(artnet.Config{Name: "found", Discovery: d, Universes: []dmx.Universe{1, 2}, Sync: artnet.SyncBroadcast})
	if err != nil {
		t.Fatal(err)
	}
	defer found.Close()
	named, err := artnet.NewOutput(artnet.Config{Name: "named", To: []netip.AddrPort{netip.MustParseAddrPort("10.66.0.2:6454")}, Universes: []dmx.Universe{2, 3}})
	if err != nil {
		t.Fatal(err)
	}
	defer named.Close()

	var value byte
	// lightWithin sends a new value as the send loop does and waits for it on both universes.
	lightWithin := func(what string, within time.Duration) {
		t.Helper()
		value++
		begin := time.Now()
		tick := time.NewTicker(time.Second / 44)
		defer tick.Stop()
		var one, three bool
		for !one || !three {
			_ = found.Send([]dmx.Frame{{value}, {value}})
			_ = named.Send([]dmx.Frame{{value}, {value}})
			select {
			case l := <-node.lit:
				one = one || l.address == 1 && l.value == value
				three = three || l.address == 3 && l.value == value
				continue
			case <-tick.C:
			}
			if time.Since(begin) > 10*time.Second {
				t.Fatalf("%s: no light: %+v, %+v, %+v", what, d.Status(), found.Status(), named.Status())
			}
		}
		took := time.Since(begin)
		t.Logf("%s: light after %v", what, took)
		if within > 0 && took > within {
			t.Errorf("%s: light after %v", what, took)
		}
	}
	dark := func(what, words string, long time.Duration, outs ...*artnet.Output) {
		t.Helper()
		begin := time.Now()
		for said := false; time.Since(begin) < long || !said; {
			_ = found.Send([]dmx.Frame{{value}, {value}})
			_ = named.Send([]dmx.Frame{{value}, {value}})
			time.Sleep(time.Second / 44)
			said = true
			for _, o := range outs {
				s := o.Status()
				said = said && !s.Up && strings.Contains(s.Text, words)
			}
			if time.Since(begin) > 10*time.Second {
				t.Fatalf("%s: %+v, %+v", what, found.Status(), named.Status())
			}
		}
	}

	lightWithin("at the start", 0)
	if n := d.Nodes(); len(n) != 2 || n[1].Addr.String() != "10.66.0.2" {
		t.Errorf("nodes %v", n)
	}
	until(t, "an ArtSync arrives by broadcast", func() bool { node.mu.Lock(); defer node.mu.Unlock(); return node.syncs > 0 })

	ip("link", "set", "limn0", "down")
	dark("our end down", "no network leads there", time.Second, found, named)
	ip("link", "set", "limn0", "up")
	lightWithin("our end up again", time.Second)

	inFar("link", "set", "limn1", "down") // the cable is out: no carrier here
	until(t, "discovery says so", func() bool { s := d.Status(); return !s.Up && strings.Contains(s.Text, "plug the cable in") })
	dark("the cable out", "no network leads there", time.Second, found, named)
	inFar("link", "set", "limn1", "up")
	lightWithin("the cable in again", time.Second)
	until(t, "all is said to be well", func() bool {
		_ = found.Send([]dmx.Frame{{value}, {value}})
		_ = named.Send([]dmx.Frame{{value}, {value}})
		return found.Status().Up && named.Status().Up && d.Status().Up
	})

	inFar("addr", "del", "10.66.0.2/24", "dev", "limn1") // the node is off: it answers no ARP request
	ip("neigh", "flush", "dev", "limn0")                 // else it takes ten seconds until the kernel asks
	dark("the node off", "nobody on the network answers", 0, found, named)
	inFar("addr", "add", "10.66.0.2/24", "dev", "limn1")
	lightWithin("the node on again", time.Second+100*time.Millisecond) // ARP asks every second, and what it takes

	ip("addr", "add", "10.66.0.9/24", "dev", "limn0")
	ip("addr", "del", "10.66.0.1/24", "dev", "limn0") // takes the other with it: it was a secondary one
	dark("no address", "no network leads there", 500*time.Millisecond, named)
	ip("addr", "add", "10.66.0.9/24", "dev", "limn0")
	lightWithin("another own address", time.Second)
	until(t, "discovery is on it", func() bool { return d.Network().Own.String() == "10.66.0.9/24" && d.Status().Up })
	if _, vanished := events.Load(artnet.NodeVanished); vanished {
		t.Error("a node was told to have vanished while our own network was down")
	}
}

type lit struct {
	address uint16
	value   byte
}

// realNode answers polls and notes slot 1 of what it is sent.
type realNode struct {
	conns []*net.UDPConn
	lit   chan lit
	done  sync.WaitGroup
	mu    sync.Mutex
	syncs int
}

// open makes the sockets in the network namespace of another process.
func (n *realNode) open(pid string) error {
	errs := make(chan error, 1)
	go func() {
		runtime.LockOSThread() // never unlocked: the thread ends with its goroutine
		errs <- func() error {
			ns, err := os.Open("/proc/" + pid + "/ns/net")
			if err != nil {
				return err
			}
			defer ns.Close()
			if err := unix.Setns(int(ns.Fd()), unix.CLONE_NEWNET); err != nil {
				return fmt.Errorf("setns: %w", err)
			}
			n.conns, err = artnet.Open(artnet.Network{Own: netip.MustParsePrefix("10.66.0.2/24")}, artnet.Port)
			return err
		}()
	}()
	if err := <-errs; err != nil {
		return err
	}
	for _, c := range n.conns {
		n.done.Go(func() { n.read(c) })
	}
	return nil
}

func (n *realNode) read(c *net.UDPConn) {
	buf := make([]byte, 2048)
	for {
		size, from, err := c.ReadFromUDPAddrPort(buf)
		if err != nil {
			return
		}
		switch op, _ := artnet.Kind(buf[:size]); op {
		case artnet.OpPoll:
			for i := range 2 { // one part for each output
				r := artnet.PollReply{Port: artnet.Port, BindIndex: byte(i + 1)}
				r.SetOutput(0, uint16(i+1))
				artnet.SetText(r.ShortName[:], "quay")
				_, _ = n.conns[0].WriteToUDPAddrPort(r.AppendTo(nil), from)
			}
		case artnet.OpSync:
			n.mu.Lock()
			n.syncs++
			n.mu.Unlock()
		case artnet.OpDmx:
			var d artnet.Datagram
			if d.Decode(buf[:size]) == nil {
				select {
				case n.lit <- lit{d.PortAddress, d.Data[0]}:
				default:
				}
			}
		}
	}
}

func (n *realNode) close() {
	for _, c := range n.conns {
		c.Close()
	}
	n.done.Wait()
}
