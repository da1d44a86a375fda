package artnet

import (
	"context"
	"fmt"
	"net"
	"net/netip"
	"slices"
	"strconv"
	"time"

	"limn/dmx"
)

const (
	// lookAgain is how often a host that is well is looked up: it may be given another address.
	lookAgain = 30 * time.Second
	// lookSoon is how often one in trouble is, well within the second in which light must be back.
	lookSoon = 400 * time.Millisecond
	// lookWithin bounds one look.
	lookWithin = 2 * time.Second
)

func lookUp(ctx context.Context, host string) ([]netip.Addr, error) {
	return net.DefaultResolver.LookupNetIP(ctx, "ip4", host)
}

// splitHost reads "host", "host:port" or an address.
func splitHost(text string) (to netip.AddrPort, host string, err error) {
	host, port := text, uint16(Port)
	if h, p, e := net.SplitHostPort(text); e == nil {
		n, e := strconv.ParseUint(p, 10, 16)
		if e != nil || n == 0 {
			return to, "", fmt.Errorf("node %q: port %q is no number from 1 to 65535", text, p)
		}
		host, port = h, uint16(n)
	}
	if a, e := netip.ParseAddr(host); e == nil {
		return netip.AddrPortFrom(a, port), "", nil
	}
	if host == "" {
		return to, "", fmt.Errorf("node %q has no name", text)
	}
	return netip.AddrPortFrom(netip.Addr{}, port), host, nil
}

// lookUpHosts starts to look after the destinations that are given by name.
func (o *Output) lookUpHosts(ctx context.Context) {
	for _, d := range o.dests {
		if d.host != "" {
			host, port := d.host, d.to.Port()
			o.helpers.Go(func() { o.lookAfter(ctx, d, host, port) })
		}
	}
}

// lookAfter keeps the address of one destination right until ctx ends. When the name is not found any more, light
// goes on to where it went.
func (o *Output) lookAfter(ctx context.Context, d *destination, host string, port uint16) {
	timer := time.NewTimer(0)
	defer timer.Stop()
	looked := time.Duration(-lookAgain)
	for {
		select {
		case <-ctx.Done():
			return
		case <-timer.C:
		}
		o.sending.Lock()
		well := d.to.Addr().IsValid() && !d.trouble.holds(o.now())
		o.sending.Unlock()
		if !well || o.now()-looked >= lookAgain {
			looked = o.now()
			within, cancel := context.WithTimeout(ctx, lookWithin)
			found, err := o.cfg.lookUp(within, host)
			cancel()
			if ctx.Err() != nil {
				return
			}
			o.found(d, found, err, port)
		}
		timer.Reset(lookSoon)
	}
}

// found takes the addresses of a destination.
func (o *Output) found(d *destination, addresses []netip.Addr, err error, port uint16) {
	networks, _ := o.cfg.networks() // not under the lock: it asks the system
	o.sending.Lock()
	defer o.sending.Unlock()
	if o.closed {
		return
	}
	for i, a := range addresses {
		addresses[i] = a.Unmap()
	}
	addresses = slices.DeleteFunc(addresses, func(a netip.Addr) bool {
		return checkDestination(netip.AddrPortFrom(a, port)) != nil
	})
	switch {
	case len(addresses) == 0:
		if !d.to.Addr().IsValid() {
			d.unknown(err)
		}
	case slices.Contains(addresses, d.to.Addr()): // of several, the one it has is as good as any
		return
	default:
		d.move(netip.AddrPortFrom(addresses[0], port))
		o.place(networks)
		if o.live {
			_ = o.deliver(arrive) // Status tells
		}
	}
	o.tell()
}

// seek says that a host's address is being looked up.
func (d *destination) seek() {
	d.trouble = saying{words: fmt.Sprintf("the address of %q is being looked up", d.host), open: true}
	d.down = fmt.Errorf("%w: %s", dmx.ErrDown, d.trouble.words)
}

// unknown says that a host has no address.
func (d *destination) unknown(err error) {
	words := fmt.Sprintf("the name %q is not found; write the node's address in numbers, or see that the network knows the name", d.host)
	if err == nil {
		words = fmt.Sprintf("the name %q has no IPv4 address; write the node's address in numbers", d.host)
	}
	d.trouble = saying{words: words, open: true}
	d.down = fmt.Errorf("%w: %s", dmx.ErrDown, words)
}
