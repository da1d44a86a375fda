package sacn

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
	return net.DefaultResolver.LookupNetIP(ctx, "ip", host)
}

// splitHost reads "host", "host:port" or an address.
func splitHost(text string) (to netip.AddrPort, host string, err error) {
	if a, e := netip.ParseAddr(text); e == nil { // an IPv6 address is full of colons
		return netip.AddrPortFrom(a, Port), "", nil
	}
	host, port := text, uint16(Port)
	if h, p, e := net.SplitHostPort(text); e == nil {
		n, e := strconv.ParseUint(p, 10, 16)
		if e != nil || n == 0 {
			return to, "", fmt.Errorf("receiver %q: port %q is no number from 1 to 65535", text, p)
		}
		host, port = h, uint16(n)
	}
	if a, e := netip.ParseAddr(host); e == nil {
		return netip.AddrPortFrom(a, port), "", nil
	}
	if host == "" {
		return to, "", fmt.Errorf("receiver %q has no name", text)
	}
	return netip.AddrPortFrom(netip.Addr{}, port), host, nil
}

// lookAfter keeps the address of one link right until ctx ends. When the name is not found any more, light
// goes on to where it went.
func (o *Output) lookAfter(ctx context.Context, l *link, host string, port uint16) {
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
		well := l.to.Addr().IsValid() && !l.trouble.holds(o.now())
		o.sending.Unlock()
		if !well || o.now()-looked >= lookAgain {
			looked = o.now()
			within, cancel := context.WithTimeout(ctx, lookWithin)
			found, err := o.cfg.lookUp(within, host)
			cancel()
			if ctx.Err() != nil {
				return
			}
			o.found(l, found, err, port)
		}
		timer.Reset(lookSoon)
	}
}

// found takes the addresses of a link.
func (o *Output) found(l *link, addresses []netip.Addr, err error, port uint16) {
	o.sending.Lock()
	defer o.sending.Unlock()
	if o.closed {
		return
	}
	var good []netip.Addr
	for _, a := range addresses {
		if a = a.Unmap(); checkAddress(netip.AddrPortFrom(a, port)) == nil {
			good = append(good, a)
		}
	}
	switch {
	case len(good) == 0:
		if !l.to.Addr().IsValid() {
			l.unknown(err)
		}
	case slices.Contains(good, l.to.Addr()): // of several, the one it has is as good as any
		return
	default:
		l.to = netip.AddrPortFrom(good[0], port)
		l.move()
		_ = o.deliver(tending) // Status tells
	}
	o.tell()
}

// seek says that a host's address is being looked up.
func (l *link) seek() {
	l.trouble = saying{words: fmt.Sprintf("the address of %q is being looked up", l.host), open: true}
	l.down = fmt.Errorf("%w: %s", dmx.ErrDown, l.trouble.words)
}

// unknown says that a host has no address.
func (l *link) unknown(err error) {
	words := fmt.Sprintf("the name %q is not found; write the receiver's address in numbers, or see that the network knows the name", l.host)
	if err == nil {
		words = fmt.Sprintf("the name %q has no address to send to; write the receiver's address in numbers", l.host)
	}
	l.trouble = saying{words: words, open: true}
	l.down = fmt.Errorf("%w: %s", dmx.ErrDown, words)
}
