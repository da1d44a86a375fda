package rdm_test

import (
	"context"
	"errors"
	"net/netip"
	"reflect"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx/rdm"
	"limn/dmx/rdm/rdmtest"
)

const line = 0x1234

var nodeAddr = netip.MustParseAddrPort("127.0.0.2:6454")

func uid(n uint32) rdm.UID { return rdm.MakeUID(rdm.Prototype, n) }

// panel and strip are two lights of the Kittiwake set.
func panel() *rdmtest.Device {
	return &rdmtest.Device{
		UID: uid(1), Label: "sky", Model: "soft panel", Manufacturer: "a maker", Address: 1, Mode: 2,
		Modes: []rdm.Mode{{Number: 1, Slots: 2, Name: "2 channels"}, {Number: 2, Slots: 4, Name: "4 channels"}},
	}
}

func strip() *rdmtest.Device {
	return &rdmtest.Device{UID: uid(2), Model: "strip", Address: 21, Mode: 1, Modes: []rdm.Mode{{Number: 1, Slots: 6}}}
}

// travel is how long a datagram takes from the node to the client.
const travel = 5 * time.Millisecond

// connect makes a client of a node on a network in memory.
func connect(t testing.TB, n *rdmtest.Node) *rdm.Client {
	t.Helper()
	var c *rdm.Client
	c, err := rdm.NewClient(rdm.Config{
		Node: nodeAddr, PortAddress: line,
		Send: func(to netip.AddrPort, b []byte) error {
			if to != nodeAddr {
				t.Errorf("sent to %v", to)
			}
			answers := n.Answer(b)
			time.AfterFunc(travel, func() { // in their order
				for _, a := range answers {
					c.Hear(nodeAddr, a)
				}
			})
			return nil
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

var wantFixtures = []rdm.Fixture{
	{
		UID: uid(1), Label: "sky", Model: "soft panel", Manufacturer: "a maker", StartAddress: 1, Footprint: 4, Mode: 2,
		Modes: []rdm.Mode{{Number: 1, Slots: 2, Name: "2 channels"}, {Number: 2, Slots: 4, Name: "4 channels"}},
	},
	{UID: uid(2), Model: "strip", StartAddress: 21, Footprint: 6, Mode: 1, Modes: []rdm.Mode{{Number: 1, Slots: 6}}},
}

// Whatever goes wrong on the way, what is told in the end is right, and in time.
func TestFixtures(t *testing.T) {
	for _, c := range []struct {
		what   string
		faults rdmtest.Faults
		within time.Duration
	}{
		{"all is well", rdmtest.Faults{}, time.Second},
		{"every answer twice", rdmtest.Faults{Double: true}, time.Second},
		{"two answers lost", rdmtest.Faults{Lose: 2}, 2 * time.Second},
		{"two answers spoilt", rdmtest.Faults{Spoil: 2}, 2 * time.Second},
		{"busy for a while", rdmtest.Faults{Busy: 4}, 2 * time.Second},
		{"put off", rdmtest.Faults{Timer: 300 * time.Millisecond}, 5 * time.Second},
		{"put off, without a queue", rdmtest.Faults{Timer: 300 * time.Millisecond, NoQueue: true}, 5 * time.Second},
		{"in parts", rdmtest.Faults{Parts: 3}, 2 * time.Second},
		{"among forgeries", rdmtest.Faults{Forge: true}, time.Second},
		{"the node is searching", rdmtest.Faults{TableBusy: 1}, 3 * time.Second},
		{"a part of the table is lost", rdmtest.Faults{TableLose: 1}, 3 * time.Second},
	} {
		t.Run(c.what, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				n := rdmtest.NewNode(line, 1, panel(), strip())
				n.SetFaults(c.faults)
				client := connect(t, n)
				start := time.Now()
				got, err := client.Fixtures(t.Context())
				if err != nil || !reflect.DeepEqual(got, wantFixtures) {
					t.Errorf("found\n%+v, %v; want\n%+v", got, err, wantFixtures)
				}
				if took := time.Since(start); took > c.within {
					t.Errorf("it took %v", took)
				}
				if c.faults.Timer > 0 && time.Since(start) < c.faults.Timer {
					t.Errorf("devices asked for %v and were given %v", c.faults.Timer, time.Since(start))
				}
				if counters := client.Counters(); c.faults.Forge && counters.Unasked == 0 || (c.faults.Spoil > 0) != (counters.Malformed > 0) {
					t.Errorf("counted %+v", counters)
				}
				for _, m := range n.Asked() {
					if m.Class != rdm.Get {
						t.Errorf("to look on, it sent %v of %v", m.Class, m.PID)
					}
				}
				time.Sleep(time.Second) // what is still on its way arrives, and finds nobody
			})
		})
	}
}

// One device that says nothing, nonsense or no hides neither the others nor what else it says.
func TestFixturesThatTellLittle(t *testing.T) {
	for _, c := range []struct {
		what    string
		device  func(*rdmtest.Device)
		faults  rdmtest.Faults
		first   rdm.Fixture
		missing []string
	}{
		{
			what: "deaf", device: func(d *rdmtest.Device) { d.Deaf = true },
			first: rdm.Fixture{UID: uid(1)}, missing: []string{"7ff0:00000001 does not answer (get of its device info, asked 3 times); look to its cable and power"},
		},
		{
			what: "a label too long", faults: rdmtest.Faults{Data: map[rdm.PID]func() []byte{rdm.DeviceLabel: func() []byte { return make([]byte, 33) }}},
			first:   rdm.Fixture{UID: uid(1), Model: "soft panel", Manufacturer: "a maker", StartAddress: 1, Footprint: 4, Mode: 2, Modes: wantFixtures[0].Modes},
			missing: []string{"7ff0:00000001: what it tells of its label is malformed: its data are not those of its parameter"},
		},
		{
			what: "a hardware fault", faults: rdmtest.Faults{Refuse: map[rdm.PID]rdm.Reason{rdm.DeviceModelDescription: rdm.HardwareFault}},
			first:   rdm.Fixture{UID: uid(1), Label: "sky", Manufacturer: "a maker", StartAddress: 1, Footprint: 4, Mode: 2, Modes: wantFixtures[0].Modes},
			missing: []string{"7ff0:00000001 refuses to get its model: its hardware has a fault"},
		},
		{
			what: "it does not say what it supports", faults: rdmtest.Faults{Refuse: map[rdm.PID]rdm.Reason{rdm.SupportedParameters: rdm.UnknownPID}},
			first: wantFixtures[0],
		},
		{
			what: "it supports nothing more", faults: rdmtest.Faults{Data: map[rdm.PID]func() []byte{rdm.SupportedParameters: func() []byte { return nil }}},
			first: rdm.Fixture{UID: uid(1), StartAddress: 1, Footprint: 4, Mode: 2},
		},
	} {
		t.Run(c.what, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				d := panel()
				if c.device != nil {
					c.device(d)
				}
				n := rdmtest.NewNode(line, 0, d, strip())
				n.SetFaults(c.faults)
				got, err := connect(t, n).Fixtures(t.Context())
				if err != nil || len(got) != 2 {
					t.Fatalf("found %+v, %v", got, err)
				}
				for _, m := range c.missing {
					if !strings.Contains(got[0].Missing, m) {
						t.Errorf("it says %q, want something with %q", got[0].Missing, m)
					}
				}
				if len(c.missing) == 0 && got[0].Missing != "" {
					t.Errorf("missing: %s", got[0].Missing)
				}
				got[0].Missing = ""
				if !reflect.DeepEqual(got[0], c.first) {
					t.Errorf("found\n%+v, want\n%+v", got[0], c.first)
				}
				if got[1].UID != uid(2) || got[1].StartAddress != 21 {
					t.Errorf("the other one: %+v", got[1])
				}
			})
		})
	}
}

// Only the node is believed, only what is asked, and whatever else is heard costs nothing.
func TestHearIsPicky(t *testing.T) {
	n := rdmtest.NewNode(line, 0, panel())
	c := connect(t, n)
	table := (&rdm.TodData{PortAddress: line, Total: 1, UIDs: []rdm.UID{uid(1)}}).AppendTo(nil)
	c.Hear(netip.MustParseAddrPort("127.0.0.3:6454"), table)
	c.Hear(nodeAddr, table)                                           // nobody asked
	c.Hear(nodeAddr, (&rdm.TodData{PortAddress: 7}).AppendTo(nil))    // another line
	c.Hear(nodeAddr, []byte("Art-Net\x00\x00\x20\x00\x0e\x00\x00"))   // ArtPoll, not ours to look at
	c.Hear(nodeAddr, table[:20])                                      // cut
	c.Hear(nodeAddr, nil)                                             // nothing
	c.Hear(netip.MustParseAddrPort("[::ffff:127.0.0.2]:9"), table[:]) // the node, written otherwise
	if got, want := c.Counters(), (rdm.Counters{Unasked: 2, Malformed: 2, Strangers: 1}); got != want {
		t.Errorf("counted %+v, want %+v", got, want)
	}
}

// A device that puts its answer off for ever, tells without end, or answers as none does, is given up.
func TestAnswersWithoutEnd(t *testing.T) {
	for _, c := range []struct {
		what string
		turn func(m *rdm.Message)
		err  string
	}{
		{"for ever later", func(m *rdm.Message) { m.Port, m.Data = byte(rdm.AckTimer), []byte{0xff, 0xff} }, "again and again"},
		{"later without a time", func(m *rdm.Message) { m.Port = byte(rdm.AckTimer) }, "again and again"},
		{"for ever more", func(m *rdm.Message) { m.Port, m.Data = byte(rdm.AckOverflow), []byte{1} }, "again and again"},
		{"much more each time", func(m *rdm.Message) { m.Port, m.Data = byte(rdm.AckOverflow), make([]byte, rdm.MaxData) }, "again and again"},
		{"a way that nobody knows", func(m *rdm.Message) { m.Port = 9 }, "not known here (9)"},
		{"no for no reason", func(m *rdm.Message) { m.Port = byte(rdm.Nack) }, "without a reason"},
		{"no for a reason that nobody knows", func(m *rdm.Message) { m.Port, m.Data = byte(rdm.Nack), []byte{0x12, 0x34} }, "for reason 1234"},
	} {
		t.Run(c.what, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				var client *rdm.Client
				client, err := rdm.NewClient(rdm.Config{Node: nodeAddr, PortAddress: line, Send: func(_ netip.AddrPort, b []byte) error {
					var q rdm.Carried
					if err := q.Decode(b); err != nil {
						return err
					}
					a := rdm.Message{Dest: q.Message.Source, Source: q.Message.Dest, Transaction: q.Message.Transaction, Class: q.Message.Class + 1, PID: q.Message.PID}
					c.turn(&a)
					client.Hear(nodeAddr, (&rdm.Carried{PortAddress: line, Message: a}).AppendTo(nil))
					return nil
				}})
				if err != nil {
					t.Fatal(err)
				}
				start := time.Now()
				got, err := client.Get(t.Context(), uid(1), rdm.DeviceLabel)
				if err == nil || !strings.Contains(err.Error(), c.err) {
					t.Errorf("got % x, %v; want an error with %q", got, err, c.err)
				}
				if took := time.Since(start); took > 3*time.Minute {
					t.Errorf("it took %v", took)
				}
			})
		})
	}
}

func TestTheContextEndsIt(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		silent, err := rdm.NewClient(rdm.Config{Node: nodeAddr, PortAddress: line, Send: func(netip.AddrPort, []byte) error { return nil }})
		if err != nil {
			t.Fatal(err)
		}
		n := rdmtest.NewNode(line, 0, panel())
		n.SetFaults(rdmtest.Faults{Timer: 10 * time.Second})
		for what, do := range map[string]func(ctx context.Context) error{
			"table":    func(ctx context.Context) error { _, err := silent.Devices(ctx); return err },
			"question": func(ctx context.Context) error { _, err := silent.Get(ctx, uid(1), rdm.DeviceInfo); return err },
			"fixtures": func(ctx context.Context) error { _, err := connect(t, n).Fixtures(ctx); return err },
		} {
			ctx, cancel := context.WithTimeout(t.Context(), 100*time.Millisecond)
			start := time.Now()
			if err := do(ctx); !errors.Is(err, context.DeadlineExceeded) || time.Since(start) > 200*time.Millisecond {
				t.Errorf("%s: %v after %v", what, err, time.Since(start))
			}
			cancel()
		}
		// Whoever waits for a turn is let go too.
		ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
		defer cancel()
		go silent.Devices(ctx)
		synctest.Wait()
		short, cancelShort := context.WithTimeout(t.Context(), 100*time.Millisecond)
		defer cancelShort()
		if err := silent.SearchAgain(short); !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("waiting for a turn: %v", err)
		}
		time.Sleep(time.Minute)
	})
}

func TestConfigIsChecked(t *testing.T) {
	send := func(netip.AddrPort, []byte) error { return nil }
	for what, c := range map[string]rdm.Config{
		"no node":            {PortAddress: 1, Send: send},
		"no such address":    {Node: nodeAddr, PortAddress: 0x8000, Send: send},
		"no way to send":     {Node: nodeAddr},
		"the address of all": {Node: nodeAddr, Send: send, UID: rdm.Everybody},
	} {
		if _, err := rdm.NewClient(c); err == nil {
			t.Errorf("%s: no error", what)
		}
	}
	unreachable := errors.New("network is unreachable")
	c, err := rdm.NewClient(rdm.Config{Node: nodeAddr, Send: func(netip.AddrPort, []byte) error { return unreachable }})
	if err != nil {
		t.Fatal(err)
	}
	_, table := c.Devices(t.Context())
	_, get := c.Get(t.Context(), uid(1), rdm.DeviceInfo)
	for _, err := range []error{table, get, c.SetStartAddress(t.Context(), uid(1), 1)} {
		if !errors.Is(err, unreachable) || !strings.Contains(err.Error(), "node 127.0.0.2 cannot be reached") {
			t.Errorf("%v", err)
		}
	}
	if _, err := c.Get(t.Context(), rdm.Everybody, rdm.DeviceInfo); err == nil {
		t.Error("everybody was asked")
	}
}
