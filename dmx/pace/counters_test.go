package pace_test

import (
	"encoding/json"
	"errors"
	"reflect"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
	"limn/dmx/pace"
)

// talkative is an output that says how its packets go out.
type talkative struct{ *dmxtest.Output }

func (talkative) Paths() []string { return []string{"127.0.0.1:6454: batches"} }

// What a screen is told is what happened, output by output, and it outlives the way through JSON.
func TestCountersAsJSON(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		well, failing, slow := dmxtest.NewOutput("well", 1), dmxtest.NewOutput("failing", 1), dmxtest.NewOutput("slow", 1)
		failing.Fail(errors.New("pulled; plug it in"))
		slow.Take(pace.Offset(2))
		b := start(t, pace.Config{Universes: []dmx.Universe{1}, Outputs: []dmx.Output{talkative{well}, failing, slow}, Fill: counting})
		b.until(99)
		c := b.loop.Counters()
		b.mustEnd()
		text, err := json.Marshal(c)
		if err != nil {
			t.Fatal(err)
		}
		var back pace.Counters
		if err := json.Unmarshal(text, &back); err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(back, c) {
			t.Errorf("%s\nreads back as %+v", text, back)
		}
		var told struct {
			Frames  int64
			Outputs []struct {
				Name                  string
				Sent, Dropped, Errors int64
				Paths                 []string
				Status                map[string]any
			}
		}
		if err := json.Unmarshal(text, &told); err != nil {
			t.Fatal(err)
		}
		if told.Frames != 100 || told.Outputs[0].Sent != 100 || told.Outputs[1].Errors != 100 || told.Outputs[2].Dropped < 48 {
			t.Errorf("of 100 frames: %s", text)
		}
		if p := told.Outputs[0].Paths; len(p) != 1 || told.Outputs[1].Paths != nil {
			t.Errorf("paths: %s", text)
		}
		if s := told.Outputs[1].Status; s["up"] != false || s["text"] != "pulled; plug it in" || s["where"] != "memory" {
			t.Errorf("status: %s", text)
		}
	})
}

// Percentiles in JSON are nanoseconds.
func TestLatenessAsJSON(t *testing.T) {
	text, err := json.Marshal(pace.Counters{P50: 3 * time.Microsecond, P99: time.Millisecond, Max: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	var told map[string]any
	if err := json.Unmarshal(text, &told); err != nil {
		t.Fatal(err)
	}
	if told["lateness_p50_ns"] != 3e3 || told["lateness_p99_ns"] != 1e6 || told["lateness_max_ns"] != 1e9 {
		t.Errorf("%s", text)
	}
}
