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
	sum := crc32.Checksum(dst[start:], castagnoli)
	dst = append(dst, sumHead...)
	for shift := 28; shift >= 0; shift -= 4 {
		dst = append(dst, "0123456789abcdef"[sum>>shift&0xf])
	}
	return append(dst, sumTail...)
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
	want := sealed(bytes.Clone(line[:body]), 0)
	if !bytes.Equal(want, line) {
		return e, errSum
	}
	if err := json.Unmarshal(line, &e); err != nil {
		return e, fmt.Errorf("it cannot be understood: %w", err)
	}
	if e.K < -1 || e.K > MaxFrame {
		return e, errFrame
	}
	return e, nil
}
