package serial

import "golang.org/x/sys/unix"

// speedReader looks at a port without taking it, to tell the speed that its
// driver really set. ok is false where that cannot be told; done ends it.
func speedReader(path string) (speed func() (bits int, ok bool), done func()) {
	fd, err := unix.Open(path, unix.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK|unix.O_CLOEXEC, 0)
	if err != nil { // the library's own attempt says why
		return func() (int, bool) { return 0, false }, func() {}
	}
	speed = func() (int, bool) {
		t, err := unix.IoctlGetTermios(fd, unix.TCGETS2)
		if err != nil {
			return 0, false
		}
		return int(t.Ospeed), true
	}
	return speed, func() { _ = unix.Close(fd) } // it was only looked at
}
