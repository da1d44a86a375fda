package rdm_test

import (
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
