package main

import (
	"context"
	"fmt"
	"net/netip"
	"time"

	"limn/cue"
	"limn/dmx/artnet"
	"limn/dmx/pace"
)

// timeCodeEvery is how often the time is looked at: several times in a frame of the
// fastest time code, 33 ms long.
const timeCodeEvery = 8 * time.Millisecond

// timeCodeRates are the standard's rates by the words of the file.
var timeCodeRates = map[string]artnet.FrameRate{"24": artnet.Film, "25": artnet.EBU, "29.97": artnet.DropFrame, "30": artnet.SMPTE}

// sendTimeCode sends time code, if the shoot asks for it, from the first command on, which is 00:00:00:00, until
// stop is called. at gives the frame that the light is at, ok only from the first command on. What
// goes wrong with it is told and tried again: light never waits for it.
func sendTimeCode(shoot *cue.Shoot, at func() (k int64, ok bool), news func(string)) (stop func(), err error) {
	c := &shoot.TimeCode
	if c.To == "" {
		return func() {}, nil
	}
	ctx, cancel := context.WithCancel(context.Background())
	to, err := parseAddress(ctx, c.To, artnet.Port)
	if err != nil {
		cancel()
		return nil, failuref(statusUnreachable, "write the address in numbers: to = \"192.168.1.60\"", "%s:%d:%d: time code: %v", c.File, c.Line, c.Col, err)
	}
	sender, err := artnet.NewTimeSender(to, timeCodeRates[c.Rate], byte(c.Stream))
	if err != nil {
		cancel()
		return nil, failuref(statusFiles, "", "%s:%d:%d: time code: %v", c.File, c.Line, c.Col, err)
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		defer sender.Close()
		keepTime(ctx, sender, to, at, news)
	}()
	return func() { cancel(); <-done }, nil
}

func keepTime(ctx context.Context, sender *artnet.TimeSender, to netip.AddrPort, at func() (int64, bool), news func(string)) {
	tick := time.NewTicker(timeCodeEvery)
	defer tick.Stop()
	first, said := int64(-1), false
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		k, ok := at()
		if !ok {
			continue
		}
		if first < 0 {
			first = k
		}
		_, err := sender.Send(pace.Offset(k - first))
		if failing := err != nil; failing != said {
			said = failing
			if failing {
				news(fmt.Sprintf("time code to %v: down: %v", to, err))
			} else {
				news(fmt.Sprintf("time code to %v: up", to))
			}
		}
	}
}
