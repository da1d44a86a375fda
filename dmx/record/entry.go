package record

import (
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"limn/dmx"
)

// The protocols of a recording.
const (
	ArtNet = "artnet"
	SACN   = "sacn"
)

// Limits of a recording.
const (
	// MaxLine is the most bytes of a line. The longest that Writer makes has half of it.
	MaxLine = 4096
	// MaxTime is the longest time from the beginning: a year.
	MaxTime = 365 * 24 * time.Hour

	maxText         = 256   // bytes of a source or a name
	maxPortAddress  = 32767 // Art-Net 4
	maxSACNUniverse = 63999 // ANSI E1.31, 6.2.7
	maxPriority     = 200   // ANSI E1.31, 6.2.3
)

// NoPriority is the priority of who has none, as in Art-Net.
const NoPriority = -1

// Entry is one packet of levels.
type Entry struct {
	At       time.Duration // since the beginning
	Protocol string
	Universe int // on the wire
	Source   string
	Name     string
	Priority int // or NoPriority
	Slots    []byte
}

// line is an entry as it is written.
type line struct {
	T        *float64 `json:"t"`
	Protocol string   `json:"protocol"`
	Universe *int     `json:"universe"`
	Source   string   `json:"source"`
	Name     string   `json:"name,omitempty"`
	Priority *int     `json:"priority,omitempty"`
	Slots    string   `json:"slots"`
}

// head is the first line.
type head struct {
	Recording string    `json:"recording"`
	Version   int       `json:"version"`
	Started   time.Time `json:"started"`
}

const (
	recordingOf = "dmx"
	version     = 1
)

// check says what is wrong with an entry.
func (e *Entry) check() error {
	low, high := 0, maxPortAddress
	switch e.Protocol {
	case ArtNet:
	case SACN:
		low, high = 1, maxSACNUniverse
	default:
		return fmt.Errorf("there is no protocol %.40q; known are %q and %q", e.Protocol, ArtNet, SACN)
	}
	switch {
	case e.At < 0 || e.At > MaxTime:
		return fmt.Errorf("the time %v is out of range; it goes from 0 to a year", e.At)
	case e.Universe < low || e.Universe > high:
		return fmt.Errorf("%s has no universe %d; it has %d to %d", e.Protocol, e.Universe, low, high)
	case e.Priority != NoPriority && (e.Priority < 0 || e.Priority > maxPriority):
		return fmt.Errorf("the priority %d is out of range; it goes from 0 to %d", e.Priority, maxPriority)
	case len(e.Slots) < 1 || len(e.Slots) > dmx.Slots:
		return fmt.Errorf("%d slots; a packet has 1 to %d", len(e.Slots), dmx.Slots)
	case len(e.Source) > maxText || len(e.Name) > maxText:
		return fmt.Errorf("a source or name of more than %d bytes", maxText)
	case !utf8.ValidString(e.Source) || !utf8.ValidString(e.Name):
		return fmt.Errorf("a source or name that is no UTF-8")
	}
	return nil
}

// decode reads a line.
func decode(b []byte) (Entry, error) {
	var l line
	if err := json.Unmarshal(b, &l); err != nil {
		return Entry{}, fmt.Errorf("it is no packet: %s", strings.TrimPrefix(err.Error(), "json: "))
	}
	switch {
	case l.T == nil:
		return Entry{}, fmt.Errorf(`it has no time; write "t" in seconds`)
	case l.Universe == nil:
		return Entry{}, fmt.Errorf("it has no universe")
	case !(*l.T >= 0 && *l.T <= MaxTime.Seconds()):
		return Entry{}, fmt.Errorf("the time %g is out of range; it goes from 0 s to a year", *l.T)
	}
	e := Entry{
		At:       time.Duration(math.Round(*l.T*1e6)) * time.Microsecond,
		Protocol: l.Protocol, Universe: *l.Universe, Source: l.Source, Name: l.Name, Priority: NoPriority,
	}
	if l.Priority != nil {
		if e.Priority = *l.Priority; e.Priority < 0 {
			return Entry{}, fmt.Errorf("the priority %d is out of range; it goes from 0 to %d", e.Priority, maxPriority)
		}
	}
	var err error
	if e.Slots, err = hex.DecodeString(l.Slots); err != nil {
		return Entry{}, fmt.Errorf("its slots are not pairs of hexadecimal digits")
	}
	return e, e.check()
}
