package artnet

import (
	"fmt"
	"time"
)

// ArtTimeCode.
const (
	timeStreamAt  = 13
	timeFramesAt  = 14
	timeSecondsAt = 15
	timeMinutesAt = 16
	timeHoursAt   = 17
	timeTypeAt    = 18
	timeLength    = 19
)

// FrameRate is the Type field of ArtTimeCode.
type FrameRate byte

// The frame rates of the standard.
const (
	Film      FrameRate = 0 // 24 frames a second
	EBU       FrameRate = 1 // 25
	DropFrame FrameRate = 2 // 30000/1001, about 29.97
	SMPTE     FrameRate = 3 // 30
)

// Drop frame counting skips the numbers 0 and 1 of each minute but every tenth, so that the time
// of day it shows stays right at 29.97 frames a second (SMPTE ST 12-1, from memory).
const (
	dropped        = 2
	dropMinute     = 60*30 - dropped              // frames in a minute that drops
	dropTenMinutes = 10*dropMinute + dropped      // 17982
	dropDay        = 24 * 6 * dropTenMinutes      // 2589408
	dropNum        = 30000                        // frames ...
	dropDen        = 1001                         // ... in so many seconds
	dayOf30        = 24 * 60 * 60                 // seconds
	wholeSecond    = int64(time.Second)           // ns
	dropPeriod     = dropDen * int64(time.Second) // ns in which dropNum frames fall
)

// perSecond is how many frame numbers a second has.
func (r FrameRate) perSecond() int {
	switch r {
	case Film:
		return 24
	case EBU:
		return 25
	}
	return 30
}

// String is the rate in frames a second.
func (r FrameRate) String() string {
	switch r {
	case Film:
		return "24"
	case EBU:
		return "25"
	case DropFrame:
		return "29.97"
	case SMPTE:
		return "30"
	}
	return fmt.Sprintf("type %d", byte(r))
}

// TimeCode is an ArtTimeCode.
type TimeCode struct {
	Stream                         byte // 0 is the master
	Hours, Minutes, Seconds, Frame byte
	Rate                           FrameRate
}

// TimeCodeAt is the time code of an instant, counted from 00:00:00:00; after a day it starts over. The
// elapsed time is not negative.
func TimeCodeAt(elapsed time.Duration, rate FrameRate) TimeCode {
	t := TimeCode{Rate: rate}
	n := frameOf(int64(elapsed), rate)
	if rate == DropFrame {
		n %= dropDay
		tens, rest := n/dropTenMinutes, n%dropTenMinutes
		n += tens * 9 * dropped
		if rest >= dropped { // the first minute of ten has all its numbers
			n += (rest - dropped) / dropMinute * dropped
		}
	}
	per := int64(rate.perSecond())
	n %= dayOf30 * per
	t.Frame = byte(n % per)
	s := n / per
	t.Seconds, t.Minutes, t.Hours = byte(s%60), byte(s/60%60), byte(s/3600)
	return t
}

// frameOf counts the frames that have begun since 0, the first being 0. All in integers, as a frame that flickers
// between two numbers would be heard as a jump.
func frameOf(ns int64, rate FrameRate) int64 {
	if rate == DropFrame {
		return ns/dropPeriod*dropNum + ns%dropPeriod*dropNum/dropPeriod
	}
	per := int64(rate.perSecond())
	return ns/wholeSecond*per + ns%wholeSecond*per/wholeSecond
}

// valid says that the time exists at its rate.
func (t *TimeCode) valid() error {
	switch {
	case t.Rate > SMPTE:
		return ErrRate
	case t.Hours > 23, t.Minutes > 59, t.Seconds > 59, int(t.Frame) >= t.Rate.perSecond():
		return ErrTime
	}
	return nil
}

// String writes hours, minutes, seconds and frame as is usual: "01:02:03:04", with ";" before the frame of
// drop frame counting.
func (t TimeCode) String() string {
	mark := ":"
	if t.Rate == DropFrame {
		mark = ";"
	}
	return fmt.Sprintf("%02d:%02d:%02d%s%02d", t.Hours, t.Minutes, t.Seconds, mark, t.Frame)
}

// Decode reads an ArtTimeCode. After an error, which is a [Malformed], t is as it was.
// go-artnet's decoder takes times that do not exist.
func (t *TimeCode) Decode(b []byte) error {
	if err := expect(b, OpTimeCode, timeLength); err != nil {
		return err
	}
	got := TimeCode{
		Stream: b[timeStreamAt], Hours: b[timeHoursAt], Minutes: b[timeMinutesAt], Seconds: b[timeSecondsAt],
		Frame: b[timeFramesAt], Rate: FrameRate(b[timeTypeAt]),
	}
	if err := got.valid(); err != nil {
		return err
	}
	*t = got
	return nil
}

// AppendTo appends the packet. By hand: go-artnet's marshalling leaves the OpCode 0.
func (t *TimeCode) AppendTo(dst []byte) []byte {
	return append(AppendHeader(dst, OpTimeCode), 0, t.Stream, t.Frame, t.Seconds, t.Minutes, t.Hours, byte(t.Rate))
}
