package sacn

import (
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"limn/dmx"
)

// inNamespace marks the run of this test binary that has a network of its own.
const inNamespace = "LIMN_TEST_NAMESPACE"

// A real cable that is cut, an address that changes under the socket, and an adapter that is pulled and plugged in
// again: multicast of both IP versions is back within a second, with the present frame. Needs rights to make network
// namespaces; both ends of the cable are in one, which nothing leaves.
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
	ip := func(args string) {
		t.Helper()
		if out, err := exec.Command("ip", strings.Fields(args)...).CombinedOutput(); err != nil {
			t.Fatalf("ip %s: %v: %s", args, err, out)
		}
	}
	set := func(name, value string) {
		t.Helper()
		if err := os.WriteFile("/proc/sys/net/"+name, []byte(value), 0o644); err != nil {
			t.Skipf("no rights to set up a network: %v", err)
		}
	}
	set("ipv6/conf/default/accept_dad", "0") // addresses are ready at once
	// The far end is this same computer, whose own addresses come in by the cable.
	for _, all := range []string{"all", "default"} {
		set("ipv4/conf/"+all+"/accept_local", "1")
		set("ipv4/conf/"+all+"/rp_filter", "0")
	}
	plug := func() {
		t.Helper()
		ip("link add limn0 type veth peer name limn1")
		ip("addr add 10.66.0.1/24 dev limn0")
		ip("addr add 10.67.0.1/24 dev limn1")
		ip("link set limn0 up")
		ip("link set limn1 up")
	}
	ip("link set lo up")
	plug()

	type lit struct {
		level byte
		v4    bool
	}
	arrived := make(chan lit, 4096)
	for _, g := range []Groups{Groups4, Groups6} {
		r, err := Listen(ListenConfig{Groups: g, Interface: "limn1", Universes: []uint16{7}}, func(d *Datagram) { arrived <- lit{d.Slots[0], g == Groups4} })
		if err != nil {
			t.Fatal(err)
		}
		defer r.Close()
	}
	o, err := New(Config{Groups: Groups4 | Groups6, Interface: "limn0", Universes: []dmx.Universe{7}, CID: testCID})
	if err != nil {
		t.Fatal(err)
	}
	defer o.Close()
	frames := make([]dmx.Frame, 1)
	level := byte(0)
	send := func() { // as the send loop does
		level++
		frames[0][0] = level
		for range 4 {
			_ = o.Send(frames)
		}
	}
	status := func(up bool, words string) {
		t.Helper()
		for limit := time.Now().Add(patience); ; time.Sleep(5 * time.Millisecond) {
			s := o.Status()
			if s.Up == up && strings.Contains(s.Text, words) {
				return
			}
			if time.Now().After(limit) {
				t.Fatalf("status %+v, want something on %q", s, words)
			}
		}
	}
	// live waits for the present frame by both versions and says how long it took.
	live := func(what string, within time.Duration) {
		t.Helper()
		start := time.Now()
		limit := time.After(patience)
		for v4, v6 := false, false; !v4 || !v6; {
			select {
			case l := <-arrived:
				if l.level == 0 {
					t.Fatalf("%s: a black frame", what)
				}
				v4, v6 = v4 || l.v4 && l.level == level, v6 || !l.v4 && l.level == level
			case <-limit:
				t.Fatalf("%s: IPv4 %v, IPv6 %v", what, v4, v6)
			}
		}
		took := time.Since(start)
		t.Logf("%s: live after %v", what, took)
		if took > within {
			t.Errorf("%s: live after %v", what, took)
		}
	}
	drain := func() {
		for {
			select {
			case <-arrived:
				continue
			default:
			}
			return
		}
	}
	send()
	live("at the start", patience) // IPv6 takes its time for a first address

	ip("link set limn1 down")
	status(false, "the cable is out")
	send()
	drain()
	ip("link set limn1 up")
	live("the cable mended", time.Second)
	status(true, "")

	ip("link set limn0 down")
	status(false, "")
	send()
	drain()
	ip("link set limn0 up")
	live("the interface switched on", time.Second)
	status(true, "")

	ip("addr add 10.66.0.9/24 dev limn0")
	ip("addr del 10.66.0.1/24 dev limn0")
	send()
	live("another address", time.Second)

	ip("link del limn0")
	status(false, `"limn0"`)
	send()
	drain()
	plug()
	status(true, "")
	// The receivers join again by themselves; one that does so behind the first packet waits for the keep-alive.
	live("the adapter plugged in again", time.Second+2*stayEvery)
	if s := o.Status(); s.Where != "multicast on limn0, IPv6 multicast on limn0" {
		t.Errorf("%+v", s)
	}
}
