package udp

import (
	"encoding/binary"
	"errors"
	"os"
	"slices"
	"syscall"
	"unsafe"

	"golang.org/x/sys/unix"
)

const (
	// fewestSegments is from where on segments gain more than they cost: two take 0.7 of what a batch of
	// two does, eight a third.
	fewestSegments = 2
	// mostSegments is UDP_MAX_SEGMENTS of kernels before 6.9, and all of a Batch.
	mostSegments = 64
	// mostBytes is what fits into one IPv4 packet behind its headers.
	mostBytes = 65535 - 20 - 8
)

// segmenter makes one message of many packets of the same size to the same address, which the
// kernel (or the network card) cuts apart again.
//
// It calls sendmsg itself: one call here stands for few packets, so what the way through a library costs (a tenth) is
// not spread over 64 of them, as it is in a batch.
type segmenter struct {
	conn   syscall.RawConn
	parts  []unix.Iovec
	head   unix.Msghdr // of parts and control, for good
	size   []byte      // where the size stands in the control data
	number syscall.Errno
	call   func(fd uintptr) bool // made once, for a function made anew would be garbage
}

// newSegmenter gives nil where the kernel has no UDP_SEGMENT.
func newSegmenter(conn syscall.RawConn) *segmenter {
	err := errors.ErrUnsupported
	if e := conn.Control(func(fd uintptr) { _, err = unix.GetsockoptInt(int(fd), unix.SOL_UDP, unix.UDP_SEGMENT) }); e != nil || err != nil {
		return nil
	}
	const sizeLen = 2 // the control message is a 16-bit number
	control := make([]byte, unix.CmsgSpace(sizeLen))
	head := (*unix.Cmsghdr)(unsafe.Pointer(&control[0]))
	head.Level, head.Type = unix.SOL_UDP, unix.UDP_SEGMENT
	head.SetLen(unix.CmsgLen(sizeLen))
	s := &segmenter{conn: conn, parts: make([]unix.Iovec, mostSegments), size: control[unix.CmsgLen(0):]}
	s.head.Iov = &s.parts[0]
	s.head.Control = &control[0]
	s.head.SetControllen(len(control))
	s.call = func(fd uintptr) bool {
		_, _, s.number = unix.Syscall(unix.SYS_SENDMSG, fd, uintptr(unsafe.Pointer(&s.head)), unix.MSG_DONTWAIT)
		return true // whatever came of it: nobody waits for room in a queue
	}
	return s
}

// gather makes one message of the first packets, as far as they are of one size, and says how many; 0
// if they are too few.
func (s *segmenter) gather(msgs []Message) int {
	if len(msgs) < fewestSegments {
		return 0
	}
	size := len(msgs[0].Buffers[0])
	if size == 0 {
		return 0
	}
	n, most := 0, min(len(msgs), mostSegments, mostBytes/size)
	for n < most && len(msgs[n].Buffers[0]) == size {
		s.parts[n].Base = &msgs[n].Buffers[0][0]
		s.parts[n].SetLen(size)
		n++
	}
	if n < fewestSegments {
		return 0
	}
	s.head.SetIovlen(n)
	binary.NativeEndian.PutUint16(s.size, uint16(size))
	return n
}

// give sends what was gathered.
func (s *segmenter) give() error {
	for {
		if err := s.conn.Write(s.call); err != nil {
			return err // closed
		}
		switch s.number {
		case 0:
			return nil
		case unix.EINTR:
		default:
			return os.NewSyscallError("sendmsg", s.number)
		}
	}
}

// refusal says that an error may be of the segments, and why they were refused: a device that cannot sum them up, or a
// network they do not fit on. If it is of something else, the same packets by themselves meet it again.
func refusal(err error) (why string, ok bool) {
	var number syscall.Errno
	if !errors.As(err, &number) {
		return "", false
	}
	ok = slices.Contains([]syscall.Errno{unix.EIO, unix.EINVAL, unix.EOPNOTSUPP, unix.EMSGSIZE, unix.ENOPROTOOPT}, number)
	return number.Error(), ok
}
