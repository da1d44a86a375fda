package artnet

import (
	"context"
	"errors"
	"net/netip"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

func TestDiscoveriesThatMakeNoSense(t *testing.T) {
	f := newFabric()
	busy := newFabric()
	busy.inUse = true
	two := func() ([]Network, error) {
		return []Network{
			{Interface: "lo", Own: netip.MustParsePrefix("127.0.0.1/8"), Loopback: true},
			{Interface: "eth0", Own: netip.MustParsePrefix("192.168.1.5/24")},
			{Interface: "wlan0", Own: netip.MustParsePrefix("10.0.0.7/16")},
		}, nil
	}
	none := func() ([]Network, error) { return nil, nil }
	for want, cfg := range map[string]DiscoveryConfig{
		"several networks (eth0 192.168.1.5/24, wlan0 10.0.0.7/16)":     {networks: two},
		`no interface or own address "eth1"; there are lo 127.0.0.1/8`:  {networks: two, Interface: "eth1"},
		"is loopback, where no device is":                               {networks: two, Interface: "lo"},
		"on no network; plug the cable in":                              {networks: none},
		`no interface or own address "eth0"; this computer is on no`:    {networks: none, Interface: "eth0"},
		"UDP port 6454 of eth7 10.9.9.7/24 is taken by another program": {networks: busy.networks, open: busy.open},
		"node [::1]:6454 is not an IPv4":                                {networks: f.networks, open: f.open, Poll: []netip.Addr{netip.IPv6Loopback()}},
	} {
		if cfg.open == nil {
			cfg.open = f.open
		}
		d, err := Discover(cfg)
		if err == nil {
			closing(t, d)
		}
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want something on %q", err, want)
		}
	}
	for asked, cfg := range map[string]DiscoveryConfig{
		"wlan0 10.0.0.7/16":   {Interface: "wlan0"},
		"eth0 192.168.1.5/24": {Interface: "192.168.1.5"},
		"lo 127.0.0.1/8":      {Interface: "lo", Port: 30000},
		"wlan0 10.0.0.7/16 ":  {Poll: []netip.Addr{netip.MustParseAddr("10.0.3.4")}},
	} {
		cfg.networks, cfg.open = two, f.open
		d, err := Discover(cfg)
		if err != nil {
			t.Errorf("%s: %v", asked, err)
			continue
		}
		if got := d.Network().String(); got != strings.TrimSpace(asked) {
			t.Errorf("it looks on %s, want %s", got, asked)
		}
		closing(t, d)
	}
}

// Asked for by its address, a node on another network is polled and heard.
func TestPollOfAGivenAddress(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		f.device("172.16.5.5", 3)
		f.device("10.9.9.1", 3)
		nodes, err := Find(t.Context(), DiscoveryConfig{
			networks: f.networks, open: f.open, Poll: []netip.Addr{netip.MustParseAddr("172.16.5.5")},
		}, 0)
		if err != nil || len(nodes) != 1 || nodes[0].Addr.String() != "172.16.5.5" {
			t.Errorf("%v, %v", nodes, err)
		}
	})
}

func TestFind(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		f.device("10.9.9.2", 4660)
		f.device("10.9.9.1", 1, 2)
		begin := time.Now()
		nodes, err := Find(t.Context(), DiscoveryConfig{networks: f.networks, open: f.open}, 0)
		if err != nil || time.Since(begin) != FindWait {
			t.Errorf("%v after %v", err, time.Since(begin))
		}
		var got []string
		for _, n := range nodes {
			got = append(got, n.String()+" "+n.outputs())
		}
		equal(t, "found", got, `"n10.9.9.1" (10.9.9.1) 0:0:1 (1)`, `"n10.9.9.1" (10.9.9.1, part 2) 0:0:2 (2)`, `"n10.9.9.2" (10.9.9.2) 18:3:4 (4660)`)

		ctx, cancel := context.WithTimeout(t.Context(), time.Second)
		defer cancel()
		nodes, err = Find(ctx, DiscoveryConfig{networks: f.networks, open: f.open}, 0)
		if !errors.Is(err, context.DeadlineExceeded) || len(nodes) != 3 {
			t.Errorf("called off: %v, %v", nodes, err)
		}
		f.cut = true
		if _, err := Find(t.Context(), DiscoveryConfig{networks: f.networks, open: f.open}, 0); !errors.Is(err, errNoNetwork) {
			t.Errorf("without a network: %v", err)
		}
	})
}
