package main

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"strconv"
)

// jsonVersion is the "version" of every JSON object this command prints. The
// shapes are documented in README.md; a change that breaks a reader raises it.
const jsonVersion = 1

// Decimals of the numbers in JSON: enough that rounding is far below what the
// eye and the standards can tell, few enough that the text is stable and short.
const (
	chromaticityDecimals = 6 // trace, listen: one a frame
	exactDecimals        = 9 // mix, colour: asked once, checked against tables
	kelvinDecimals       = 4
	duvDecimals          = 9
	lightDigits          = 9 // significant digits of a luminance, which spans decades
)

// number is a JSON number of fixed decimals; NaN and infinities print as null,
// which is how "has no meaning here" reads in every shape.
type number struct {
	value    float64
	decimals int
}

func (n number) MarshalJSON() ([]byte, error) { return appendFixed(nil, n.value, n.decimals), nil }

// digits is a JSON number of so many significant digits; null like number.
type digits struct {
	value       float64
	significant int
}

func (d digits) MarshalJSON() ([]byte, error) {
	return appendDigits(nil, d.value, d.significant), nil
}

// none is the number that prints as null.
var none = math.NaN()

// appendFixed writes v with so many decimals, trailing zeros dropped, and never "-0".
func appendFixed(dst []byte, v float64, decimals int) []byte {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return append(dst, "null"...)
	}
	start := len(dst)
	dst = strconv.AppendFloat(dst, v, 'f', decimals, 64)
	if decimals > 0 {
		dst = bytes.TrimRight(dst, "0")
		dst = bytes.TrimSuffix(dst, []byte("."))
	}
	if string(dst[start:]) == "-0" {
		dst = append(dst[:start], '0')
	}
	return dst
}

// appendDigits writes v with so many significant digits.
func appendDigits(dst []byte, v float64, significant int) []byte {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return append(dst, "null"...)
	}
	if v == 0 {
		return append(dst, '0')
	}
	// Rounded in decimal, then written the shortest way: 0.5, not 0.500000000.
	var scratch [32]byte
	rounded, err := strconv.ParseFloat(string(strconv.AppendFloat(scratch[:0], v, 'g', significant, 64)), 64)
	if err != nil {
		return append(dst, "null"...)
	}
	return strconv.AppendFloat(dst, rounded, 'g', -1, 64)
}

// object is a JSON object that keeps the order its members were put in, so that
// emitters and sources appear as the files have them.
type object []member

type member struct {
	name  string
	value any
}

func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		name, err := json.Marshal(m.name)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(m.value)
		if err != nil {
			return nil, err
		}
		b.Write(name)
		b.WriteByte(':')
		b.Write(value)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// writeJSON prints one object on one line. Names of sources and cues stay as
// written: nothing here ends up inside a web page.
func writeJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}
