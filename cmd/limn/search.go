package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"net/netip"
	"slices"
	"sync"
	"time"

	"limn/dmx/artnet"
	"limn/dmx/rdm"
	"limn/dmx/sacn"
	"limn/dmx/serial"
)

// listenedUniverses is how many sACN universes, from 1 on, are listened to for senders that do not tell of
// themselves: what sets use, and no more than one socket joins on Linux (20 groups).
const listenedUniverses = 16

// question is what a search asks.
type question struct {
	interfaces []string     // names or own addresses; none = all networks but loopback
	poll       []netip.Addr // Art-Net nodes to ask one by one; none = by broadcast
	ports      []string     // serial ports to ask
	udpPort    uint16       // of Art-Net
	wait       time.Duration
	rdm        bool
}

// search is a question being asked. It listens until close.
type search struct {
	question
	networks []artnet.Network
	asked    []string
	lookouts []*artnet.Discovery
	ears     []*sacn.Receiver
	adapters []foundAdapter
	probing  sync.WaitGroup

	mu      sync.Mutex
	clients []*rdm.Client
}

// finding is what a search found.
type finding struct {
	asked    []string
	networks []artnet.Network
	nodes    []artnet.Node
	udpPort  uint16
	polled   []netip.Addr
	senders  []foundSender
	adapters []foundAdapter
	lines    []foundLine
	rdm      bool
}

type foundAdapter struct {
	serial.Adapter
	answer serial.Answer
	asked  bool
	err    error
}

type foundSender struct {
	name      string
	from      netip.AddrPort
	universes []uint16
	priority  int // -1: it told of itself, and its data were not heard
}

func (f *finding) nothing() bool {
	return len(f.nodes) == 0 && len(f.senders) == 0 && !slices.ContainsFunc(f.adapters, func(a foundAdapter) bool { return a.usable() })
}

// usable says that lights may hang on an adapter.
func (a *foundAdapter) usable() bool {
	return a.asked && a.err == nil || a.Means == serial.MeansLine || a.Means == serial.MeansEither
}

// newSearch begins to ask. What cannot be asked is told; if nothing can be, that is an error.
func newSearch(q question, tell func(string)) (*search, error) {
	s := &search{question: q}
	all, err := artnet.Networks()
	if err != nil {
		return nil, failuref(statusUnreachable, "", "this computer's networks cannot be listed: %v", err)
	}
	if s.networks, err = chosen(all, q.interfaces); err != nil {
		return nil, err
	}
	var failed []error
	for _, cfg := range s.configs() {
		if err := s.look(cfg); err != nil {
			failed = append(failed, err)
			tell("warning: " + err.Error())
		}
	}
	for _, n := range s.networks {
		s.hear(n, tell)
	}
	s.askAdapters(tell)
	if len(s.lookouts) == 0 && len(s.ears) == 0 && len(s.adapters) == 0 && len(failed) > 0 {
		s.close()
		return nil, failuref(statusUnreachable, "limn find --port PATH asks an adapter alone", "%v", errors.Join(failed...))
	}
	return s, nil
}

// chosen gives the networks of the named interfaces, or all but loopback.
func chosen(all []artnet.Network, names []string) ([]artnet.Network, error) {
	if len(names) == 0 {
		return slices.DeleteFunc(all, func(n artnet.Network) bool { return n.Loopback }), nil
	}
	var out []artnet.Network
	for _, name := range names {
		i := slices.IndexFunc(all, func(n artnet.Network) bool { return name == n.Interface || name == n.Own.Addr().String() })
		if i < 0 {
			words := make([]string, len(all))
			for i, n := range all {
				words[i] = n.String()
			}
			return nil, failuref(statusUnreachable, "there is "+joinedList(words), "no network has the interface or own address %q", name)
		}
		out = append(out, all[i])
	}
	return out, nil
}

// configs are the discoveries to make: one a network, or one for the nodes that are named.
func (s *search) configs() []artnet.DiscoveryConfig {
	var out []artnet.DiscoveryConfig
	if len(s.poll) > 0 {
		cfg := artnet.DiscoveryConfig{Port: s.udpPort, Poll: s.poll}
		if len(s.networks) > 0 && len(s.interfaces) > 0 {
			cfg.Interface = s.networks[0].Own.Addr().String()
		}
		return append(out, cfg)
	}
	for _, n := range s.networks {
		out = append(out, artnet.DiscoveryConfig{Port: s.udpPort, Interface: n.Own.Addr().String()})
	}
	return out
}

func (s *search) look(cfg artnet.DiscoveryConfig) error {
	cfg.OnMessage = func(_ artnet.OpCode, from netip.AddrPort, b []byte) {
		s.mu.Lock()
		defer s.mu.Unlock()
		for _, c := range s.clients {
			c.Hear(from, b)
		}
	}
	d, err := artnet.Discover(cfg)
	if err != nil {
		return err
	}
	s.lookouts = append(s.lookouts, d)
	how := "Art-Net by broadcast to " + d.Network().Broadcast().String()
	if len(cfg.Poll) > 0 {
		words := make([]string, len(cfg.Poll))
		for i, a := range cfg.Poll {
			words[i] = a.String()
		}
		how = "Art-Net from " + joinedList(words)
	}
	s.asked = append(s.asked, fmt.Sprintf("%s: %s", d.Network(), how))
	return nil
}

// hear listens for sACN on a network.
func (s *search) hear(n artnet.Network, tell func(string)) {
	wire := make([]uint16, listenedUniverses)
	for i := range wire {
		wire[i] = uint16(i + 1)
	}
	r, err := sacn.Listen(sacn.ListenConfig{
		Groups: sacn.Groups4, Interface: n.Own.Addr().String(), Universes: wire, Discovery: true,
	}, nil)
	if err != nil {
		tell(fmt.Sprintf("warning: cannot listen for sACN on %s: %v", n, err))
		return
	}
	s.ears = append(s.ears, r)
	s.asked = append(s.asked, fmt.Sprintf("%s: listened for sACN senders, universe 1 to %d and their announcements", n, listenedUniverses))
}

// askAdapters lists the serial ports and asks those that may be adapters for light.
func (s *search) askAdapters(tell func(string)) {
	all, err := serial.Find()
	if err != nil {
		tell(fmt.Sprintf("warning: serial ports cannot be listed: %v", err))
	}
	for _, a := range all {
		s.adapters = append(s.adapters, foundAdapter{Adapter: a, asked: a.Means == serial.MeansLine || a.Means == serial.MeansEither})
	}
	for _, path := range s.ports {
		i := slices.IndexFunc(s.adapters, func(a foundAdapter) bool { return a.Port == path })
		if i < 0 {
			i = len(s.adapters)
			s.adapters = append(s.adapters, foundAdapter{Adapter: serial.Adapter{Port: path}})
		}
		s.adapters[i].asked = true
	}
	for i := range s.adapters {
		if a := &s.adapters[i]; a.asked {
			s.probing.Go(func() { a.answer, a.err = serial.Probe(a.Port, false) })
		}
	}
}

// wait lets the time to answer pass, or the context end.
func (s *search) wait(ctx context.Context) {
	if len(s.lookouts)+len(s.ears) > 0 {
		timer := time.NewTimer(s.question.wait)
		defer timer.Stop()
		select {
		case <-timer.C:
		case <-ctx.Done():
		}
	}
	s.probing.Wait() // each is bounded by itself
}

// found is what has answered so far.
func (s *search) found() *finding {
	f := &finding{asked: s.asked, networks: s.networks, udpPort: s.udpPort, polled: s.poll, adapters: s.adapters, rdm: s.rdm}
	for _, d := range s.lookouts {
		f.nodes = append(f.nodes, d.Nodes()...)
	}
	f.nodes = slices.DeleteFunc(f.nodes, func(n artnet.Node) bool {
		return slices.ContainsFunc(s.networks, func(w artnet.Network) bool { return w.Own.Addr() == n.Addr }) && n.Style == artnet.StyleController
	})
	told := map[netip.AddrPort]int{}
	for _, r := range s.ears {
		for _, d := range r.Discovered() {
			told[d.From] = len(f.senders)
			f.senders = append(f.senders, foundSender{d.Name, d.From, d.Universes, -1})
		}
	}
	for _, r := range s.ears {
		for _, u := range r.Universes() {
			for _, src := range u.Sources {
				i, ok := told[src.From]
				if !ok {
					i = len(f.senders)
					told[src.From] = i
					f.senders = append(f.senders, foundSender{name: src.Name, from: src.From})
				}
				f.senders[i].priority = max(f.senders[i].priority, int(src.Priority))
				if !slices.Contains(f.senders[i].universes, u.Number) {
					f.senders[i].universes = append(f.senders[i].universes, u.Number)
				}
			}
		}
	}
	slices.SortFunc(f.senders, func(a, b foundSender) int {
		return cmp.Or(a.from.Compare(b.from), cmp.Compare(a.name, b.name))
	})
	return f
}

// close ends the listening.
func (s *search) close() {
	for _, d := range s.lookouts {
		d.Close()
	}
	for _, r := range s.ears {
		r.Close()
	}
	s.lookouts, s.ears = nil, nil
}
