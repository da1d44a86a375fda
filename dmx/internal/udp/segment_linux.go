package udp

import (
	"encoding/binary"
	"errors"
	"slices"
	"syscall"

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
type segmenter struct {
	message []Message // one
	buffers [][]byte
	size    []byte // where the size stands in the message's control data
}

// newSegmenter gives nil where the kernel has no UDP_SEGMENT.
func newSegmenter(fd int) *segmenter {
	if _, err := unix.GetsockoptInt(fd, unix.SOL_UDP, unix.UDP_SEGMENT); err != nil {
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
