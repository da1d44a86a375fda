package main

import (
	"fmt"
	"net/netip"

	"limn/cue"
	"limn/dmx"
	"limn/dmx/artnet"
)

// lookoutPlace is where nodes are looked for.
type lookoutPlace struct {
	network string
	port    uint16
}

// lookout is a discovery that outputs share, since one program can have the
// standard's port of a network only once.
type lookout struct {
	config artnet.DiscoveryConfig
	found  *artnet.Discovery // nil: it could not begin yet
}

// begin looks for nodes from now on, if it does not yet.
func (l *lookout) begin() error {
	if l.found != nil {
		return nil
	}
	d, err := artnet.Discover(l.config)
	if err != nil {
		return err
	}
	l.found = d
	return nil
}

func (l *lookout) close() error {
	if l.found == nil {
		return nil
	}
	return l.found.Close()
}

func artNetConfig(o *cue.Output) artnet.Config {
	sync := map[string]artnet.Sync{cue.SyncBroadcast: artnet.SyncBroadcast, cue.SyncUnicast: artnet.SyncUnicast}[o.Sync]
	return artnet.Config{Name: o.Name, Universes: universes(o.Universes), Offset: o.Offset, Sync: sync, Broadcast: o.Broadcast}
}

func (os *outputs) openArtNet(o *cue.Output) (opened, error) {
	cfg := artNetConfig(o)
	if o.Discover {
		return os.openDiscovered(o, cfg), nil
	}
	lights := false
	cfg.To, cfg.Hosts, lights = destinations(o.To, artnet.Port)
	out, err := artnet.NewOutput(cfg)
	if err != nil {
		return opened{}, err
	}
	for _, w := range out.Warnings() {
		os.news(fmt.Sprintf("output %s: %s", o.Name, w))
	}
	return opened{out, lights}, nil
}

// openDiscovered makes an output to whatever nodes are found. While discovery cannot begin (a cable that is out, a
// port that is taken), it is down and tries again.
func (os *outputs) openDiscovered(o *cue.Output, cfg artnet.Config) opened {
	where := lookoutPlace{o.Interface, uint16(o.Port)}
	l := os.lookouts[where]
	if l == nil {
		l = &lookout{config: artnet.DiscoveryConfig{
			Interface: o.Interface, Port: uint16(o.Port), Diagnostics: artnet.DiagMedium,
			OnEvent: func(e artnet.Event) { os.news("network: " + e.Text) },
		}}
		os.lookouts[where] = l
	}
	for _, text := range o.Poll {
		l.config.Poll = append(l.config.Poll, netip.MustParseAddr(text)) // the files have seen to that
	}
	network := "the network"
	if o.Interface != "" {
		network = o.Interface
	}
	return opened{newSeeking(o.Name, cfg.Universes, "Art-Net nodes on "+network, func() (dmx.Output, error) {
		if err := l.begin(); err != nil {
			return nil, err
		}
		cfg.Discovery = l.found
		return artnet.NewOutput(cfg)
	}), o.Interface == "" || !loopback(o.Interface)}
}
