package udp

import (
	"encoding/binary"
	"errors"
	"net"
	"slices"
	"syscall"

	"golang.org/x/sys/unix"
)

const (
	// fewestSegments is from where on segments gain more than they cost.
	fewestSegments = 8
	// mostSegments is UDP_MAX_SEGMENTS of kernels before 6.9, and all of a Batch.
	mostSegments = 64
	// mostBytes is what fits into one IPv4 packet behind its headers.
	mostBytes = 65535 - 20 - 8
)

// segmenter makes one message of many packets of the same size to the same address, which the
// kernel (or the network card) cuts apart again.
type segmenter struct {
	message []Message // one
	buffers [][]byte
	size    []byte // where the size stands in the message's control data
}

// newSegmenter gives nil where the kernel has no UDP_SEGMENT, or the socket is not connected.
func newSegmenter(conn *net.UDPConn) *segmenter {
	raw, err := conn.SyscallConn()
	if err != nil || conn.RemoteAddr() == nil {
		return nil
	}
	var inner error
	if err := raw.Control(func(fd uintptr) { _, inner = unix.GetsockoptInt(int(fd), unix.SOL_UDP, unix.UDP_SEGMENT) }); err != nil || inner != nil {
		return nil
	}
	const sizeLen = 2 // the control message is a 16-bit number
	oob := make([]byte, unix.CmsgSpace(sizeLen))
	const length = unix.SizeofCmsghdr - 8 // its length field, as long as a word; level and type follow
	if length == 8 {
		binary.NativeEndian.PutUint64(oob, uint64(unix.CmsgLen(sizeLen)))
	} else {
		binary.NativeEndian.PutUint32(oob, uint32(unix.CmsgLen(sizeLen)))
	}
	binary.NativeEndian.PutUint32(oob[length:], unix.SOL_UDP)
	binary.NativeEndian.PutUint32(oob[length+4:], unix.UDP_SEGMENT)
	return &segmenter{
		message: []Message{{OOB: oob}},
		buffers: make([][]byte, 0, mostSegments),
		size:    oob[unix.CmsgLen(0):],
	}
}

// gather makes one message of the first packets, as far as they are of one size, and says how many; 0
// if they are too few.
func (s *segmenter) gather(msgs []Message) int {
	if len(msgs) < fewestSegments {
		return 0
	}
	size := len(msgs[0].Buffers[0])
	n := 0
	for n < min(len(msgs), mostSegments) && len(msgs[n].Buffers[0]) == size && (n+1)*size <= mostBytes {
		n++
	}
	if n < fewestSegments || size == 0 {
		return 0
	}
	s.buffers = s.buffers[:0]
	for i := range n {
		s.buffers = append(s.buffers, msgs[i].Buffers[0])
	}
	s.message[0].Buffers = s.buffers
	binary.NativeEndian.PutUint16(s.size, uint16(size))
	return n
}

// refusesSegments says that an error is of the segments: a device that cannot sum them up, or a
// network they do not fit on.
func refusesSegments(err error) bool {
	return slices.ContainsFunc([]error{syscall.EIO, syscall.EINVAL, syscall.EOPNOTSUPP, syscall.EMSGSIZE, syscall.ENOPROTOOPT},
		func(e error) bool { return errors.Is(err, e) })
}
