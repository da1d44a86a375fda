package rdm_test

import (
	"errors"
	"net/netip"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx/rdm"
	"limn/dmx/rdm/rdmtest"
)

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
