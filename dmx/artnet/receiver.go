package artnet

import (
	"errors"
	"net"
	"net/netip"
	"sync/atomic"
	"time"
)

const (
	// readSize holds the longest packet and a little more, so that one that is too long is
	// seen to be, not cut down to a good one.
	readSize = 2048
	// readBuffer is what the system is asked to keep while nobody reads: a second
	// of 64 universes. It may grant less.
	readBuffer = 4 << 20
	// pauseOnError keeps a socket that fails at once from taking all the time there is.
	pauseOnError = 10 * time.Millisecond
)

// Receiver listens for ArtDmx.
type Receiver struct {
	conn                     *net.UDPConn
	received, refused, other atomic.Int64
	done                     chan struct{}
}

// Listen binds addr (loopback in tests and demo; port 0 picks one) and calls
// handle for each good ArtDmx, from one goroutine, until Close. handle must not call Close.
func Listen(addr netip.AddrPort, handle func(*Datagram)) (*Receiver, error) {
	conn, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(addr))
	if err != nil {
		return nil, err
	}
	_ = conn.SetReadBuffer(readBuffer) // whatever it grants will do
	r := &Receiver{conn: conn, done: make(chan struct{})}
	go r.read(handle)
	return r, nil
}

func (r *Receiver) read(handle func(*Datagram)) {
	defer close(r.done)
	var d Datagram
	buf := make([]byte, readSize)
	for {
		n, from, err := r.conn.ReadFromUDPAddrPort(buf)
		if errors.Is(err, net.ErrClosed) {
			return
		}
		if err != nil {
			// Some systems report here that an answer found nobody, or that the
			// datagram was longer than the buffer. Neither ends the listening.
			r.refused.Add(1)
			time.Sleep(pauseOnError)
			continue
		}
		switch err := d.Decode(buf[:n]); err {
		case nil:
			r.received.Add(1)
			d.From = netip.AddrPortFrom(from.Addr().Unmap(), from.Port())
			handle(&d)
		case ErrNotDmx:
			r.other.Add(1)
		default:
			r.refused.Add(1)
		}
	}
}

// Addr is where it listens.
func (r *Receiver) Addr() netip.AddrPort {
	a := r.conn.LocalAddr().(*net.UDPAddr).AddrPort()
	return netip.AddrPortFrom(a.Addr().Unmap(), a.Port())
}

// Received counts good ArtDmx.
func (r *Receiver) Received() int64 { return r.received.Load() }

// Other counts well-formed messages of Art-Net that are not ArtDmx.
func (r *Receiver) Other() int64 { return r.other.Load() }

// Refused counts malformed datagrams.
func (r *Receiver) Refused() int64 { return r.refused.Load() }

// Close ends the listening, after the handler has returned. A second Close does nothing.
func (r *Receiver) Close() error {
	err := r.conn.Close()
	<-r.done
	if errors.Is(err, net.ErrClosed) {
		return nil
	}
	return err
}
