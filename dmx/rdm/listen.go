package rdm

import (
	"context"
	"errors"
	"net"
	"net/netip"
	"time"
)

// readSize holds the longest packet there is: ArtTodData with 200 devices has 1228 bytes.
const readSize = 1500

// pauseOnError is the rest after a failed read, so that a socket in trouble does not keep a processor busy.
const pauseOnError = 50 * time.Millisecond

// Listen gives what arrives on a socket to clients until the context ends or the socket is closed. It is for whoever holds the
// socket on Art-Net's port for this alone; where discovery holds it, its OnMessage is given [Client.Hear] instead.
// It does not close the socket.
func Listen(ctx context.Context, conn *net.UDPConn, clients ...*Client) error {
	stop := context.AfterFunc(ctx, func() { _ = conn.SetReadDeadline(time.Unix(1, 0)) }) // wakes the read below
	defer stop()
	buf := make([]byte, readSize)
	for {
		n, from, err := conn.ReadFromUDPAddrPort(buf)
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case errors.Is(err, net.ErrClosed):
			return nil
		case err != nil: // an answer that nobody is there; sending tells if it is more than that
			if err := pause(ctx, pauseOnError); err != nil {
				return err
			}
		default:
			for _, c := range clients {
				c.Hear(from, buf[:n])
			}
		}
	}
}

// SendOn makes the Send of a [Config] from a socket.
func SendOn(conn *net.UDPConn) func(to netip.AddrPort, b []byte) error {
	return func(to netip.AddrPort, b []byte) error {
		_, err := conn.WriteToUDPAddrPort(b, to)
		return err
	}
}
