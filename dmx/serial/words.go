package serial

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"

	goserial "go.bug.st/serial"
)

// errStalled says that a write or the opening of a port did not come back.
var errStalled = errors.New("stalled")

// errShort says that a port takes no more bytes, without saying why.
var errShort = errors.New("short write")

// errNoRTS says that a port's request-to-send line cannot be set.
var errNoRTS = errors.New("no request-to-send line")

// breakError says that a port cannot make a break.
type breakError struct{ cause error }

func (e *breakError) Error() string { return "break: " + e.cause.Error() }
func (e *breakError) Unwrap() error { return e.cause }

// atError says which port an error is about.
type atError struct {
	port  string
	cause error
}

func (e *atError) Error() string { return e.port + ": " + e.cause.Error() }
func (e *atError) Unwrap() error { return e.cause }

// words tells an operator what is wrong with a port and what to do.
func words(path string, err error) string {
	var pe *goserial.PortError
	var brk *breakError
	code := goserial.PortErrorCode(-1)
	if errors.As(err, &pe) {
		code = pe.Code()
	}
	gone := isGone(err)
	switch {
	case inWords(err):
		return err.Error()
	case errors.As(err, &brk) && !gone:
		return "the adapter cannot hold a break, so it cannot carry DMX timed by the host; use another adapter, or \"usb widget\" if it frames packets itself"
	case errors.Is(err, errNeither):
		return fmt.Sprintf(`what is at %s does not answer as a widget does and cannot hold a break as a plain line does: it may be a modem or a console; name another port, or write kind = "usb widget" if you know that it is one`, path)
	case errors.Is(err, errNoRTS):
		return fmt.Sprintf("%s has no request-to-send line that could be held low; leave that out of its output, or use another adapter", path)
	case errors.Is(err, errStalled):
		return "the adapter takes no more bytes; if it does not come back by itself, unplug it and plug it in again"
	case errors.Is(err, fs.ErrNotExist), code == goserial.PortNotFound:
		return fmt.Sprintf("there is no port %s; plug the adapter in, or correct the name (adapters are often /dev/ttyUSB0 or /dev/ttyACM0)", path)
	case errors.Is(err, fs.ErrPermission), code == goserial.PermissionDenied:
		return permission(path)
	case isBusy(err):
		if by := holder(path); by != "" {
			return fmt.Sprintf("%s is in use by another program: %s; end that program", path, by)
		}
		return fmt.Sprintf("%s is in use by another program; end that program", path)
	case gone, errors.Is(err, errShort):
		return "the adapter is gone; plug it in again"
	case code == goserial.InvalidSerialPort, errors.Is(err, syscall.ENOTTY):
		return fmt.Sprintf("%s is not a serial port; correct the name", path)
	}
	return err.Error()
}

// inWords says whether an error was made for an operator to read.
func inWords(err error) bool {
	var speed *speedError
	var none *noneError
	var several *severalError
	var kind *kindError
	var taken *takenError
	return errors.As(err, &speed) || errors.As(err, &none) || errors.As(err, &several) || errors.As(err, &kind) || errors.As(err, &taken)
}

// permission names the cure for a port that may not be opened: its group, if that may.
func permission(path string) string {
	group := groupOf(path)
	if group == "" {
		return fmt.Sprintf("no permission to use %s; let your user into the group that owns it (often dialout) and log in again", path)
	}
	return fmt.Sprintf("no permission to use %s; let your user into the group %s (sudo usermod -aG %s $USER) and log in again", path, group, group)
}

// isBusy says whether somebody else has the port.
func isBusy(err error) bool {
	var pe *goserial.PortError
	return errors.As(err, &pe) && pe.Code() == goserial.PortBusy || errors.Is(err, syscall.EBUSY)
}

// isGone says whether an error is that of a port whose hardware has left.
func isGone(err error) bool {
	var pe *goserial.PortError
	if errors.As(err, &pe) && pe.Code() == goserial.PortClosed {
		return true
	}
	for _, gone := range []error{syscall.EIO, syscall.ENODEV, syscall.ENXIO, syscall.EBADF} {
		if errors.Is(err, gone) {
			return true
		}
	}
	return false
}
