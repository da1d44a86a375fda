package journal

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"strconv"
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// What ends a line: ,"sum":"00000000"} and the newline.
const (
	sumHead   = `,"sum":"`
	sumDigits = 8
	sumTail   = "\"}\n"
	sumLen    = len(sumHead) + sumDigits + len(sumTail)
)

// appendLine appends the line of e, with its sum and newline. It fails where
// the line would be longer than MaxLine; dst is then as it was.
func appendLine(dst []byte, e *Entry) ([]byte, error) {
	start := len(dst)
	switch e.What {
	case KindAt, KindAzimuth: // these are many
		dst = append(dst, `{"n":`...)
		dst = strconv.AppendUint(dst, e.N, 10)
		dst = append(dst, `,"what":"`...)
		dst = append(dst, e.What...)
		dst = append(dst, `","k":`...)
		dst = strconv.AppendInt(dst, e.K, 10)
		if e.What == KindAzimuth {
			dst = append(dst, `,"degrees":`...)
			dst = strconv.AppendFloat(dst, e.Degrees, 'g', -1, 64)
		}
	default:
		var b bytes.Buffer
		enc := json.NewEncoder(&b)
		enc.SetEscapeHTML(false) // it is read by people
		if err := enc.Encode(e); err != nil {
			return dst, err
		}
		dst = append(dst, bytes.TrimSuffix(b.Bytes(), []byte("}\n"))...)
	}
	dst = sealed(dst, start)
	if n := len(dst) - start; n > MaxLine {
		return dst[:start], fmt.Errorf("the line has %d bytes; a line has at most %d", n, MaxLine)
	}
	return dst, nil
}

// sealed ends the line that begins at start.
func sealed(dst []byte, start int) []byte {
	sum := sumOf(dst[start:])
	dst = append(dst, sumHead...)
	dst = append(dst, sum[:]...)
	return append(dst, sumTail...)
}

// sumOf is the sum of a line's bytes, in hex.
func sumOf(body []byte) (digits [sumDigits]byte) {
	sum := crc32.Checksum(body, castagnoli)
	for i := range digits {
		digits[i] = "0123456789abcdef"[sum>>(28-4*i)&0xf]
	}
	return digits
}

var (
	errCut   = errors.New("it is cut short")
	errSum   = errors.New("its sum does not fit its bytes")
	errFrame = errors.New("its frame is out of range")
)

// parseLine reads a line with its newline.
func parseLine(line []byte) (Entry, error) {
	var e Entry
	body := len(line) - sumLen
	if body < 0 || !bytes.HasSuffix(line, []byte(sumTail)) || string(line[body:body+len(sumHead)]) != sumHead {
		return e, errCut
	}
	if sum := sumOf(line[:body]); string(line[body+len(sumHead):len(line)-len(sumTail)]) != string(sum[:]) {
		return e, errSum
	}
	if !parseShort(line[:body], &e) {
		if err := json.Unmarshal(line, &e); err != nil {
			return e, fmt.Errorf("it cannot be understood: %w", err)
		}
	}
	if e.K < -1 || e.K > MaxFrame {
		return e, errFrame
	}
	return e, nil
}

// parseShort reads the kinds that are many as appendLine writes them; what looks
// otherwise is left to the JSON reader, and e as it was.
func parseShort(body []byte, e *Entry) bool {
	rest, ok := bytes.CutPrefix(body, []byte(`{"n":`))
	n, rest, found := bytes.Cut(rest, []byte(`,"what":"`))
	what, rest, more := bytes.Cut(rest, []byte(`","k":`))
	if !ok || !found || !more {
		return false
	}
	k, degrees, turned := bytes.Cut(rest, []byte(`,"degrees":`))
	kind := KindAt
	if turned {
		kind = KindAzimuth
	}
	if string(what) != string(kind) || !plain(n) || !plain(k) || turned && !plain(degrees) {
		return false
	}
	got := Entry{What: kind}
	var err, err2, err3 error
	got.N, err = strconv.ParseUint(string(n), 10, 64)
	got.K, err2 = strconv.ParseInt(string(k), 10, 64)
	if turned {
		got.Degrees, err3 = strconv.ParseFloat(string(degrees), 64)
	}
	if err != nil || err2 != nil || err3 != nil {
		return false
	}
	*e = got
	return true
}

// plain tells whether a number is made of what JSON's numbers are made of.
func plain(number []byte) bool {
	for _, c := range number {
		if (c < '0' || c > '9') && c != '-' && c != '+' && c != '.' && c != 'e' {
			return false
		}
	}
	return len(number) > 0
}
