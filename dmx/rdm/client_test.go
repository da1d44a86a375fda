package rdm_test

import (
	"context"
	"errors"
	"fmt"
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

func TestTables(t *testing.T) {
	many := make([]*rdmtest.Device, 450)
	for i := range many {
		many[i] = &rdmtest.Device{UID: uid(uint32(len(many) - i))}
	}
	for _, c := range []struct {
		what    string
		devices []*rdmtest.Device
		faults  rdmtest.Faults
		line    uint16
		want    int
		err     string
	}{
		{what: "in three parts", devices: many, want: 450},
		{what: "nobody", want: 0},
		{what: "a part never comes", devices: many, faults: rdmtest.Faults{TableTotal: 460}, want: 450, err: "node 127.0.0.2 counts 460 RDM devices on output 18:3:4 (4660), but names 450 of them"},
		{what: "beyond all measure", devices: many, faults: rdmtest.Faults{TableTotal: 65535}, want: 450, err: "counts 65535 RDM devices on output 18:3:4 (4660); only the first 450 are looked at"},
		{what: "always searching", devices: many, faults: rdmtest.Faults{TableBusy: 99}, err: "is still searching output 18:3:4 (4660)"},
		{what: "another line", devices: many, line: 7, err: "tells no RDM devices of output 18:3:4 (4660)"},
	} {
		t.Run(c.what, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				at := uint16(line)
				if c.line != 0 {
					at = c.line
				}
				n := rdmtest.NewNode(at, 0, c.devices...)
				n.SetFaults(c.faults)
				start := time.Now()
				got, err := connect(t, n).Devices(t.Context())
				if len(got) != c.want {
					t.Errorf("%d devices, want %d", len(got), c.want)
				}
				for i := range got {
					if got[i] != uid(uint32(i+1)) {
						t.Fatalf("device %d is %v", i, got[i])
					}
				}
				var table *rdm.TableError
				if (c.err == "") != (err == nil) || err != nil && (!errors.As(err, &table) || !strings.Contains(err.Error(), c.err)) {
					t.Errorf("error %v, want %q", err, c.err)
				}
				if took := time.Since(start); took > 5*time.Second {
					t.Errorf("it took %v", took)
				}
			})
		})
	}
}

// A table that changes while it is told: what was there before does not count.
func TestATableThatChanges(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var c *rdm.Client
		c, err := rdm.NewClient(rdm.Config{Node: nodeAddr, PortAddress: line, Send: func(netip.AddrPort, []byte) error {
			for _, d := range []rdm.TodData{
				{PortAddress: line, Total: 3, UIDs: []rdm.UID{uid(1), uid(2)}},
				{PortAddress: line, NotReady: true},
				{PortAddress: line, Total: 2, UIDs: []rdm.UID{uid(4), uid(3)}},
			} {
				c.Hear(nodeAddr, d.AppendTo(nil))
			}
			return nil
		}})
		if err != nil {
			t.Fatal(err)
		}
		if got, err := c.Devices(t.Context()); err != nil || !reflect.DeepEqual(got, []rdm.UID{uid(3), uid(4)}) {
			t.Errorf("%v, %v", got, err)
		}
	})
}

// Forged tables, however many, cost a bounded room, and end.
func TestAFloodOfDevices(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var c *rdm.Client
		next := uint32(1)
		c, err := rdm.NewClient(rdm.Config{Node: nodeAddr, PortAddress: line, Send: func(netip.AddrPort, []byte) error {
			for range 1000 {
				d := rdm.TodData{PortAddress: line, Total: 65535}
				for range rdm.MaxBlock {
					d.UIDs = append(d.UIDs, uid(next))
					next++
				}
				c.Hear(nodeAddr, d.AppendTo(nil))
			}
			return nil
		}})
		if err != nil {
			t.Fatal(err)
		}
		got, err := c.Devices(t.Context())
		if len(got) != rdm.MaxDevices || err == nil {
			t.Errorf("%d devices, %v", len(got), err)
		}
		if n := c.Counters(); n.Dropped == 0 {
			t.Errorf("counted %+v", n)
		}
	})
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

func TestSetStartAddress(t *testing.T) {
	for _, c := range []struct {
		what    string
		device  func(*rdmtest.Device)
		faults  rdmtest.Faults
		to      int
		err     string
		address int
		sent    bool
	}{
		{what: "set", to: 101, address: 101, sent: true},
		{what: "the same", to: 1, address: 1},
		{what: "the last that fits", to: 509, address: 509, sent: true},
		{what: "one more", to: 510, address: 1, err: "start address 510 is not in 1..509, where the 4 slots of 7ff0:00000001 fit"},
		{what: "none", to: 0, address: 1, err: "start address 0 is not in 1..509"},
		{what: "no slots", device: func(d *rdmtest.Device) { d.Mode = 7 }, to: 101, address: 1, err: "takes no slots in its present mode"},
		{what: "the answer is lost", to: 101, faults: rdmtest.Faults{Lose: 2}, address: 101, sent: true},
		{what: "put off", to: 101, faults: rdmtest.Faults{Timer: time.Second}, address: 101, sent: true},
		{what: "it keeps its own", device: func(d *rdmtest.Device) { d.Stubborn = true }, to: 101, address: 1, sent: true, err: "7ff0:00000001 took start address 101, but says that it has 1; set it at the device"},
		{what: "locked", to: 101, faults: rdmtest.Faults{Refuse: map[rdm.PID]rdm.Reason{rdm.DmxStartAddress: rdm.WriteProtect}}, address: 1, sent: true, err: "it is locked against changes"},
		{what: "deaf", device: func(d *rdmtest.Device) { d.Deaf = true }, to: 101, address: 1, err: "does not answer"},
	} {
		t.Run(c.what, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				d := panel()
				if c.device != nil {
					c.device(d)
				}
				n := rdmtest.NewNode(line, 0, d)
				n.SetFaults(c.faults)
				err := connect(t, n).SetStartAddress(t.Context(), uid(1), c.to)
				if (c.err == "") != (err == nil) || err != nil && !strings.Contains(err.Error(), c.err) {
					t.Errorf("error %v, want %q", err, c.err)
				}
				if got, _ := n.Address(0); got != c.address {
					t.Errorf("it has start address %d, want %d", got, c.address)
				}
				sent := false
				for _, m := range n.Asked() {
					sent = sent || m.Class == rdm.Set
				}
				if sent != c.sent {
					t.Errorf("something was set: %v, want %v", sent, c.sent)
				}
			})
		})
	}
}

// A device that took the address and whose every answer to that was lost is found to have it.
func TestSetWhoseAnswerIsLost(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		n := rdmtest.NewNode(line, 0, panel())
		var c *rdm.Client
		c, err := rdm.NewClient(rdm.Config{Node: nodeAddr, PortAddress: line, Send: func(_ netip.AddrPort, b []byte) error {
			var m rdm.Carried
			lost := m.Decode(b) == nil && m.Message.Class == rdm.Set
			for _, a := range n.Answer(b) {
				if !lost {
					c.Hear(nodeAddr, a)
				}
			}
			return nil
		}})
		if err != nil {
			t.Fatal(err)
		}
		if err := c.SetStartAddress(t.Context(), uid(1), 101); err != nil {
			t.Error(err)
		}
	})
}

func TestSetModeAndIdentify(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		stubborn := strip()
		stubborn.Stubborn = true
		stubborn.Modes = panel().Modes
		n := rdmtest.NewNode(line, 0, panel(), stubborn)
		c := connect(t, n)
		if err := c.SetMode(t.Context(), uid(1), 1); err != nil {
			t.Error(err)
		}
		f, err := c.Fixture(t.Context(), uid(1))
		if err != nil || f.Mode != 1 || f.Footprint != 2 || f.ModeName() != `mode 1 "2 channels"` {
			t.Errorf("%+v, %v", f, err)
		}
		if err := c.SetMode(t.Context(), uid(2), 2); err == nil || !strings.Contains(err.Error(), "says that it is in mode 1") {
			t.Errorf("%v", err)
		}
		var nack *rdm.NackError
		if err := c.SetMode(t.Context(), uid(1), 9); !errors.As(err, &nack) || nack.Reason != rdm.OutOfRange {
			t.Errorf("%v", err)
		}
		if err := c.SetMode(t.Context(), uid(1), 256); err == nil {
			t.Error("mode 256 is taken")
		}
		for _, on := range []bool{true, false} {
			if err := c.SetIdentify(t.Context(), uid(1), on); err != nil {
				t.Error(err)
			}
			if _, got := n.Address(0); got != on {
				t.Errorf("identifying: %v, want %v", got, on)
			}
		}
		if err := c.SearchAgain(t.Context()); err != nil || n.Flushed() != 1 {
			t.Errorf("%v, %d searches", err, n.Flushed())
		}
	})
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
