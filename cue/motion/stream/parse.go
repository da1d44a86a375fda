package stream

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
)

// MaxLine is the most bytes of one line. An azimuth has less than 20, an object with some others 200.
const MaxLine = 512

// MaxAzimuth is the most degrees either way that count as an azimuth: tables that count turns reach
// thousands, a slip reaches anything.
const MaxAzimuth = 1e6

// Sample is one azimuth that was told.
type Sample struct {
	Azimuth float64 // 0..360
	T       float64 // the table's own time, seconds
	HasT    bool
}

// ErrLong says that a line has more than MaxLine bytes.
var ErrLong = errors.New("the line is too long for an azimuth; write one number, or {\"azimuth\": 35.21}")

// Parse reads one line. Its error says what is wrong and what would be right.
func Parse(line []byte) (Sample, error) {
	if len(line) > MaxLine {
		return Sample{}, ErrLong
	}
	line = bytes.TrimSpace(line)
	if len(line) > 0 && line[0] == '{' {
		return object(line)
	}
	if len(line) == 0 || bytes.ContainsAny(line, "xXpP_") { // of numbers, only decimal ones are angles
		return Sample{}, wrong(line)
	}
	v, err := strconv.ParseFloat(string(line), 64)
	if err != nil {
		return Sample{}, wrong(line)
	}
	return sample(v, line)
}

func object(line []byte) (Sample, error) {
	var o struct {
		Azimuth *float64 `json:"azimuth"`
		T       *float64 `json:"t"`
	}
	if err := json.Unmarshal(line, &o); err != nil || o.Azimuth == nil {
		return Sample{}, wrong(line)
	}
	s, err := sample(*o.Azimuth, line)
	if err == nil && o.T != nil {
		s.T, s.HasT = *o.T, true
	}
	return s, err
}

func sample(v float64, line []byte) (Sample, error) {
	if !(math.Abs(v) <= MaxAzimuth) { // neither is nan
		return Sample{}, wrong(line)
	}
	a := math.Mod(v, 360)
	if a < 0 {
		a += 360
	}
	if a >= 360 { // a tiny negative angle rounds up to a whole turn
		a = 0
	}
	return Sample{Azimuth: a + 0}, nil // no negative zero
}

// maxQuoted is how much of a line a message repeats.
const maxQuoted = 40

func wrong(line []byte) error {
	return fmt.Errorf("%q is no azimuth; write degrees as 35.21, or {\"azimuth\": 35.21}", line[:min(len(line), maxQuoted)])
}
