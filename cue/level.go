package cue

import (
	"math"
	"strings"

	"limn/fixtures/quantity"
)

// LevelKind is the way a level is counted.
type LevelKind uint8

// The ways of counting.
const (
	LevelOff     LevelKind = iota
	LevelPercent           // of the most at that colour
	LevelStops             // below the most at that colour
	LevelKey               // stops against the key
	LevelLux               // at the aim point
)

// Level is how much light, as written:
//
//	60 %           of the most the source gives at that colour
//	-1.5 stops     below the most it gives at that colour
//	key -2 stops   against the key's lux in the same cue; "key" alone: as much
//	850 lx         at the aim point (or "79 fc")
//	off
//
// It prints back as it was written. The zero Level is "off". Levels are
// comparable with ==, by spelling as well as by value.
type Level struct {
	kind  LevelKind
	value float64 // share 0..1, stops or lux
	text  string  // as written, without space around it
}

// Kind is the way the level is counted.
func (l Level) Kind() LevelKind { return l.kind }

// Value is the level in its own way of counting: a share 0..1 for percent,
// stops (at most 0) below full, stops against the key, lux; 0 for off.
func (l Level) Value() float64 { return l.value }

// String is the level as written, or the new value in the unit and style it
// was written in.
func (l Level) String() string {
	if l.text == "" {
		return "off"
	}
	return l.text
}

// With is another value in the same unit and style, rounded to what is printed
// and held in range. A level that was off becomes a share in percent. NaN
// leaves l as it is.
func (l Level) With(value float64) Level {
	switch {
	case math.IsNaN(value) || l.text != "" && l.kind != LevelOff && value == l.value:
		return l
	case l.kind == LevelOff && !(value > 0):
		return l
	}
	var text string
	switch l.kind {
	case LevelStops:
		q, _ := quantity.ParseStops(l.text)
		text = q.With(math.Min(value, 0)).String()
	case LevelLux:
		q, _ := quantity.ParseIlluminance(l.text)
		text = q.With(value).String()
	case LevelKey:
		word, rest := cutKey(l.text)
		q, _ := quantity.ParseStops(rest)
		text = word + " " + signed(q.With(value).String())
	case LevelPercent:
		q, _ := quantity.ParsePercent(l.text)
		text = q.With(value).String()
	default:
		text = quantity.Percent{Share: math.Min(value, 1)}.String()
	}
	other, err := ParseLevel(text)
	if err != nil {
		return l // what a quantity prints is a level: see TestLevelWith
	}
	return other
}

// Shift is the level so many stops up (+) or down (-), in its own unit and style, as
// With gives it. Off stays off.
func (l Level) Shift(stops float64) Level {
	switch l.kind {
	case LevelOff:
		return l
	case LevelStops, LevelKey:
		return l.With(l.value + stops)
	}
	return l.With(float64(l.value * math.Exp2(stops)))
}

// signed puts a plus before stops that have no sign, so that "key +1 stop"
// cannot be read as anything else.
func signed(stops string) string {
	if strings.HasPrefix(stops, "+") || isMinus(stops) || strings.HasPrefix(stops, "0 ") {
		return stops
	}
	return "+" + stops
}

// MarshalText is String.
func (l Level) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// UnmarshalText is ParseLevel.
func (l *Level) UnmarshalText(text []byte) (err error) {
	*l, err = ParseLevel(string(text))
	return err
}
