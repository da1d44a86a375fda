package rdm

import "encoding/binary"

// Discovery on the line. A node does it; this is for judging what it does and for devices of our own.

// BranchLength is the length of the data of a search.
const branchLength = 2 * uidLength

// AppendBranch appends the data of a search: the range of those who are to answer.
func AppendBranch(dst []byte, low, high UID) []byte {
	return append(append(dst, low[:]...), high[:]...)
}

// DecodeBranch reads the data of a search.
func DecodeBranch(data []byte) (low, high UID, err error) {
	if len(data) != branchLength {
		return UID{}, UID{}, ErrData
	}
	return UID(data), UID(data[uidLength:]), nil
}

// The answer to a search has no break and no start code, so that collisions spoil it (ANSI E1.20, 7.5.1): a preamble that
// may be shortened on the way, a separator, then each byte twice, once with the even bits set and once with the odd ones.
const (
	preamble       = 0xfe
	preambleLength = 7
	separator      = 0xaa
	evenBits       = 0x55
	oddBits        = 0xaa
	answerLength   = 2 * (uidLength + checksumLength)
)

// AppendFound appends a device's answer to a search.
func AppendFound(dst []byte, u UID) []byte {
	for range preambleLength {
		dst = append(dst, preamble)
	}
	dst = append(dst, separator)
	start := len(dst)
	for _, b := range u {
		dst = append(dst, b|oddBits, b|evenBits)
	}
	for _, b := range binary.BigEndian.AppendUint16(nil, sum(dst[start:])) {
		dst = append(dst, b|oddBits, b|evenBits)
	}
	return dst
}

// DecodeFound reads the answer to a search. Its error is a [Malformed]: two devices answered at once, or none did.
func DecodeFound(b []byte) (UID, error) {
	n := 0
	for n < len(b) && b[n] == preamble {
		n++
	}
	if n > preambleLength || n == len(b) || b[n] != separator {
		return UID{}, ErrEncoding
	}
	b = b[n+1:]
	if len(b) != answerLength {
		return UID{}, ErrShort
	}
	var plain [uidLength + checksumLength]byte
	for i := range plain {
		odd, even := b[2*i], b[2*i+1]
		if odd&oddBits != oddBits || even&evenBits != evenBits {
			return UID{}, ErrEncoding
		}
		plain[i] = odd & even
	}
	if binary.BigEndian.Uint16(plain[uidLength:]) != sum(b[:2*uidLength]) {
		return UID{}, ErrChecksum
	}
	return UID(plain[:]), nil
}
