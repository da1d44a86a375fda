package dmxtest

import (
	"fmt"
	"os"
	"testing"

	"golang.org/x/sys/unix"
)

// PTY is a pseudo-terminal: whoever opens Name finds a serial port, and what
// is written there can be read from Master. Breaks do not come through, and the
// speed is remembered but not kept.
type PTY struct {
	Master *os.File // deadlines work; Close hangs the port up, as a pulled plug does
	Name   string
}

// OpenPTY makes a pseudo-terminal. The master is not brought into blocking mode on the
// way, for then neither its deadlines nor hanging up would work.
func OpenPTY(t testing.TB) *PTY {
	t.Helper()
	m, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("this system gives no pseudo-terminals: %v", err)
	}
	t.Cleanup(func() { m.Close() })
	number := 0
	control(t, m, func(fd int) (err error) {
		if err = unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err != nil {
			return err
		}
		number, err = unix.IoctlGetInt(fd, unix.TIOCGPTN)
		return err
	})
	return &PTY{Master: m, Name: fmt.Sprintf("/dev/pts/%d", number)}
}

// Waiting is how many bytes were written to the port and not read from Master yet.
func (p *PTY) Waiting(t testing.TB) int {
	t.Helper()
	n := 0
	control(t, p.Master, func(fd int) (err error) {
		n, err = unix.IoctlGetInt(fd, unix.TIOCINQ)
		return err
	})
	return n
}

// Settings are those that whoever opened the port gave it.
func (p *PTY) Settings(t testing.TB) *unix.Termios {
	t.Helper()
	var settings *unix.Termios
	control(t, p.Master, func(fd int) (err error) {
		settings, err = unix.IoctlGetTermios(fd, unix.TCGETS2)
		return err
	})
	return settings
}

func control(t testing.TB, f *os.File, do func(fd int) error) {
	t.Helper()
	c, err := f.SyscallConn()
	if err != nil {
		t.Fatal(err)
	}
	var inner error
	if err := c.Control(func(fd uintptr) { inner = do(int(fd)) }); err != nil {
		t.Fatal(err)
	}
	if inner != nil {
		t.Fatal(inner)
	}
}
