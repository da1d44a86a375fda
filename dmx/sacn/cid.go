package sacn

import (
	"crypto/rand"
	"crypto/sha1"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// CID tells one sender from all others (ANSI E1.31-2018, 5.6): an RFC 9562 UUID that stays the same for the life of
// the sender. Receivers count sequences and lose sources by it.
type CID [16]byte

// String writes it as UUIDs are written: "6f0d4a1e-2b3c-4d5e-8f60-718293a4b5c6".
func (c CID) String() string {
	return fmt.Sprintf("%x-%x-%x-%x-%x", c[:4], c[4:6], c[6:8], c[8:10], c[10:])
}

// ErrNoCID says that a CID is all zeros, which tells nobody from anybody.
var ErrNoCID = errors.New("a CID of all zeros is none; give a UUID of your own")

// ParseCID reads what String writes, in either case.
func ParseCID(s string) (CID, error) {
	var c CID
	digits := strings.ReplaceAll(s, "-", "")
	if len(s) != 36 || len(digits) != 32 || s[8] != '-' || s[13] != '-' || s[18] != '-' || s[23] != '-' {
		return c, fmt.Errorf("CID %.60q is no UUID; write one such as 6f0d4a1e-2b3c-4d5e-8f60-718293a4b5c6", s)
	}
	if _, err := hex.Decode(c[:], []byte(digits)); err != nil {
		return CID{}, fmt.Errorf("CID %q has characters that are no hexadecimal digits", s)
	}
	if c == (CID{}) {
		return c, ErrNoCID
	}
	return c, nil
}

// NewCID makes a random one (RFC 9562, 5.4).
func NewCID() CID {
	var c CID
	rand.Read(c[:]) // never fails
	return c.stamp(4)
}

// DeriveCID makes the same CID of the same words each time (RFC 9562, 5.5). namespace is a CID of one's own,
// such as the one that [LoadCID] keeps; words tell its parts apart, such as the name of a shoot and of its output.
func DeriveCID(namespace CID, words ...string) CID {
	h := sha1.New() // as the RFC has it; nothing secret hangs on it
	h.Write(namespace[:])
	h.Write([]byte(strings.Join(words, "\x00")))
	var c CID
	copy(c[:], h.Sum(nil))
	return c.stamp(5)
}

// stamp writes version and variant into a UUID.
func (c CID) stamp(version byte) CID {
	c[6] = c[6]&0x0f | version<<4
	c[8] = c[8]&0x3f | 0x80
	return c
}

// maxCIDFile bounds what is read of a CID's file.
const maxCIDFile = 128

// LoadCID reads the CID kept in a file, or makes one and keeps it there, folders included. Two programs that do so at
// once get the same. A file that holds something else is an error and is left as it is.
func LoadCID(file string) (CID, error) {
	c, err := readCID(file)
	if !errors.Is(err, fs.ErrNotExist) {
		return c, err
	}
	dir := filepath.Dir(file)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return CID{}, err
	}
	// Written whole under another name, then linked: whoever comes first wins, and nobody reads half of it.
	f, err := os.CreateTemp(dir, "cid")
	if err != nil {
		return CID{}, err
	}
	defer os.Remove(f.Name())
	c = NewCID()
	_, err = fmt.Fprintln(f, c)
	if err := errors.Join(err, f.Close()); err != nil {
		return CID{}, err
	}
	if err := os.Link(f.Name(), file); err != nil {
		if errors.Is(err, fs.ErrExist) {
			return readCID(file)
		}
		// Some file systems have no links; there the last to come wins.
		if err := os.Rename(f.Name(), file); err != nil {
			return CID{}, err
		}
	}
	return c, nil
}

func readCID(file string) (CID, error) {
	f, err := os.Open(file)
	if err != nil {
		return CID{}, err
	}
	defer f.Close()
	b := make([]byte, maxCIDFile)
	n, _ := f.Read(b) // what is missing, the parser misses
	c, err := ParseCID(strings.TrimSpace(string(b[:n])))
	if err != nil {
		return c, fmt.Errorf("%s: %w; take the file away and a new one is made", file, err)
	}
	return c, nil
}
