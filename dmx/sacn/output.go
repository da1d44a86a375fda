package sacn

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"net/netip"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"limn/dmx"
	"limn/dmx/internal/udp"
)

// terminations is how many packets end a universe (ANSI E1.31-2018, 6.2.6).
const terminations = 3

// Output is dmx.Output over sACN.
type Output struct {
	cfg     Config
	start   time.Time
	closing context.CancelFunc
	helpers sync.WaitGroup // what looks host names up, and after itself

	sent      atomic.Int64 // data packets given to the system
	terminate atomic.Bool

	// sending is held while packets are made or links change: the output looks after itself between
	// two calls of Send.
	sending     turn
	closed      bool
	live        bool // the packets hold slots
	failing     bool // the last Send had an error
	discoveryAt time.Duration
	links       []*link
	encoders    []*Encoder // parallel to the universes, as the next two
	feeds       []feed
	due         []int // places of the universes that go out now
	syncPacket  []byte

	status status
}

var _ dmx.Output = (*Output)(nil)

// New checks the config and opens the output. A network or a receiver that is not there is no error:
// Status says so, and sending tries again. Nothing is sent before the first Send.
func New(cfg Config) (*Output, error) {
	cfg.Universes = slices.Clone(cfg.Universes)
	if err := cfg.complete(); err != nil {
		return nil, err
	}
	o := &Output{cfg: cfg, sending: newTurn(), start: time.Now(), feeds: make([]feed, len(cfg.Universes)), due: make([]int, 0, len(cfg.Universes))}
	o.terminate.Store(cfg.Terminate)
	if err := o.makeLinks(); err != nil {
		return nil, err
	}
	if err := o.layOut(); err != nil {
		return nil, err
	}
	now := o.now()
	for _, l := range o.links {
		_ = l.open(now) // Status tells
	}
	o.tell()
	ctx, cancel := context.WithCancel(context.Background())
	o.closing = cancel
	for _, l := range o.links {
		if l.host != "" {
			host, port := l.host, l.to.Port()
			o.helpers.Go(func() { o.lookAfter(ctx, l, host, port) })
		}
	}
	o.helpers.Go(func() { o.tend(ctx) })
	return o, nil
}

// makeLinks makes a link for each address, host and IP version of groups.
func (o *Output) makeLinks() error {
	add := func(to netip.AddrPort, host string) error {
		if host == "" {
			to = netip.AddrPortFrom(to.Addr().Unmap(), to.Port())
			if err := checkAddress(to); err != nil {
				return err
			}
		}
		if slices.ContainsFunc(o.links, func(l *link) bool { return l.to == to && l.host == host }) {
			return fmt.Errorf("receiver %v is named twice; once is enough", cmp.Or(host, to.String()))
		}
		l := &link{to: to, host: host, dial: func(l *link) (udp.Socket, error) { return o.cfg.dial(l.to) }}
		if host != "" {
			l.seek()
		}
		o.links = append(o.links, l)
		return nil
	}
	for _, to := range o.cfg.To {
		if err := add(to, ""); err != nil {
			return err
		}
	}
	for _, text := range o.cfg.Hosts {
		to, host, err := splitHost(text)
		if err == nil {
			err = add(to, host)
		}
		if err != nil {
			return err
		}
	}
	if o.cfg.Groups == 0 {
		return nil
	}
	// A choice that is still to be made is an error now; an interface that is not there yet may come.
	all, _ := o.cfg.interfaces()
	if _, err := choose(o.cfg.Interface, all); errors.Is(err, errSeveral) {
		return err
	}
	for _, g := range [...]Groups{Groups4, Groups6} {
		if o.cfg.Groups&g != 0 {
			o.links = append(o.links, &link{groups: g, dial: o.dialGroups})
		}
	}
	return nil
}

// dialGroups makes the socket of a multicast link on the interface as it is now.
func (o *Output) dialGroups(l *link) (udp.Socket, error) {
	by, err := o.look(l.groups == Groups4)
	if err != nil {
		return nil, err
	}
	l.by = by
	return o.cfg.multicast(&l.by.Interface, l.groups == Groups4, o.cfg.Hops)
}

// look finds the interface that multicast leaves by, and says what is wrong with it.
func (o *Output) look(v4 bool) (Interface, error) {
	all, err := o.cfg.interfaces()
	if err != nil {
		return Interface{}, err
	}
	by, err := choose(o.cfg.Interface, all)
	if err == nil && !by.speaks(v4) {
		version := "IPv6"
		if v4 {
			version = "IPv4"
		}
		err = fmt.Errorf("interface %s has no %s address; give it one", by.Name, version)
	}
	return by, err
}

// layOut prepares the packets.
func (o *Output) layOut() error {
	data := Data{CID: o.cfg.CID, Name: []byte(o.cfg.Source), Priority: o.cfg.priority(), Sync: o.cfg.Sync}
	if o.cfg.Sync != 0 {
		data.Options = ForceSync
		s := Sync{CID: o.cfg.CID, Address: o.cfg.Sync}
		var err error
		if o.syncPacket, err = s.Append(nil); err != nil {
			return err
		}
	}
	var packets [][]byte
	for i := range o.cfg.Universes {
		data.Universe = o.cfg.wire(i)
		e, err := NewEncoder(data)
		if err != nil {
			return err
		}
		e.packet[sequenceAt] = 0xff // the first packet has number 0
		o.encoders = append(o.encoders, e)
		packets = append(packets, e.packet)
	}
	if o.cfg.Sync != 0 {
		o.syncPacket[syncSequenceAt] = 0xff
	}
	discovery, err := pages(o.cfg.CID, o.cfg.Source, o.cfg.listed())
	if err != nil {
		return err
	}
	for _, l := range o.links {
		l.aim(&o.cfg, packets, o.syncPacket, discovery)
	}
	return nil
}

// now is monotonic: setting the clock moves nothing.
func (o *Output) now() time.Duration { return time.Since(o.start) }

// Name is the name given in the config.
func (o *Output) Name() string { return o.cfg.Name }

// Universes are those given in the config.
func (o *Output) Universes() []dmx.Universe { return o.cfg.Universes }

// Sent counts the data packets given to the system.
func (o *Output) Sent() int64 { return o.sent.Load() }

// Paths says in words, for each way that packets leave by, how they are handed to the system: "10.0.0.5:5568: segmentation by
// the system". Ways that are down are left out.
func (o *Output) Paths() []string {
	o.sending.Lock()
	defer o.sending.Unlock()
	var out []string
	for _, l := range o.links {
		if l.sock != nil {
			out = append(out, l.name()+": "+l.sock.Path())
		}
	}
	return out
}

// Send sends each universe that has changed, and of the others those whose repeat or keep-alive is
// due; when none has changed and no repeat is, all of them. It allocates nothing as long as all goes well.
func (o *Output) Send(frames []dmx.Frame) error {
	o.sending.Lock()
	defer o.sending.Unlock()
	if o.closed {
		return dmx.ErrClosed
	}
	why := repeating
	for i, e := range o.encoders {
		slots := (*dmx.Frame)(e.packet[slotsAt:])
		if !o.live || *slots != frames[i] {
			*slots = frames[i]
			o.feeds[i].changed = true
			why = changing
		}
	}
	o.live = true
	err := o.deliver(why)
	o.failing = err != nil
	return err
}

// deliver sends what is due. The caller holds the lock.
func (o *Output) deliver(why occasion) (first error) {
	if !o.live {
		return nil
	}
	now := o.now()
	o.findDue(why, now)
	news, any := false, false
	for _, l := range o.links {
		l.batch = l.batch[:0]
		switch {
		case l.behind || l.trouble.holds(now):
			if why == tending && len(o.due) == 0 && now-l.tried < catchUp {
				continue
			}
			l.batch = append(l.batch, l.data...)
		default:
			for _, i := range o.due {
				l.batch = append(l.batch, l.data[i])
			}
		}
		if len(l.batch) == 0 {
			continue
		}
		l.behind = false
		sent, err := o.give(l, l.batch, now, &news)
		o.sent.Add(int64(sent))
		if first == nil {
			first = err
		}
		if sent == 0 {
			l.batch = l.batch[:0] // nothing to synchronize
		}
		any = any || sent > 0
	}
	if any && o.cfg.Sync != 0 {
		if err := o.synchronize(now, &news); first == nil {
			first = err
		}
	}
	if now >= o.discoveryAt {
		o.discoveryAt = now + discoverEvery
		for _, l := range o.links {
			_, _ = o.give(l, l.discovery, now, &news) // the next is in ten seconds
		}
	}
	if news {
		o.tell()
	}
	return first
}

// give sends messages by one link.
func (o *Output) give(l *link, msgs []udp.Message, now time.Duration, news *bool) (int, error) {
	before := l.trouble
	sent, err := l.send(msgs, now)
	*news = *news || l.trouble != before
	return sent, err
}

// synchronize sends one synchronization packet to each link that got data, after a pause.
func (o *Output) synchronize(now time.Duration, news *bool) (first error) {
	time.Sleep(o.cfg.SyncGap) // of the output's own goroutine: nobody else waits
	for _, l := range o.links {
		if len(l.batch) == 0 {
			continue
		}
		l.batch = append(l.batch[:0], l.sync)
		if _, err := o.give(l, l.batch, now, news); first == nil {
			first = err
		}
	}
	return first
}

// Terminate decides, until Close, whether Close ends every universe with three packets that say so. It
// may be called from any goroutine.
func (o *Output) Terminate(yes bool) { o.terminate.Store(yes) }

// end sends the packets that end every universe. The caller holds the lock.
func (o *Output) end() (first error) {
	now := o.now()
	for _, e := range o.encoders {
		e.packet[optionsAt] |= byte(StreamTerminated)
	}
	for range terminations {
		for _, e := range o.encoders {
			e.packet[sequenceAt]++
		}
		for _, l := range o.links {
			if l.sock == nil { // no use in waiting for it now
				continue
			}
			if _, err := l.send(l.data, now); first == nil && udp.CauseOf(err) == udp.Other {
				first = err
			}
		}
	}
	return first
}

// Close ends the universes if that is asked for, and closes the sockets.
func (o *Output) Close() error {
	o.sending.Lock()
	if o.closed {
		o.sending.Unlock()
		return nil
	}
	o.closed = true
	var errs []error
	if o.live && o.terminate.Load() {
		errs = append(errs, o.end())
	}
	for _, l := range o.links {
		errs = append(errs, l.close())
	}
	o.status.close()
	o.sending.Unlock()
	o.closing()
	o.helpers.Wait()
	return errors.Join(errs...)
}
