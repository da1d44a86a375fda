package pace_test

import (
	"context"
	"encoding/json"
	"fmt"

	"limn/dmx"
	"limn/dmx/dmxtest"
	"limn/dmx/pace"
)

// A loop pulls frames from Fill and sends them until its context ends.
func ExampleLoop() {
	out := dmxtest.NewOutput("bench", 1)
	ctx, cancel := context.WithCancel(context.Background())
	loop, err := pace.New(pace.Config{
		Universes: []dmx.Universe{1},
		Outputs:   []dmx.Output{out},
		Fill: func(k int64, frames []dmx.Frame) bool {
			frames[0][0] = 128 // slot 1
			if k >= 5 {
				cancel()
			}
			return true
		},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := loop.Run(ctx); err != nil {
		fmt.Println(err)
	}
	sent := out.Sent()
	fmt.Println("slot 1:", sent[len(sent)-1].Frames[0][0])
	// Output: slot 1: 128
}

// Frame 44 is due a second after frame 0, and so on without drift.
func ExampleOffset() {
	fmt.Println(pace.Offset(1), pace.Offset(44), pace.Offset(44*3600))
	// Output: 22.727272ms 1s 1h0m0s
}

// Counters are for screens, and as JSON for whoever watches from outside.
func ExampleLoop_Counters() {
	loop, err := pace.New(pace.Config{
		Universes: []dmx.Universe{1},
		Outputs:   []dmx.Output{dmxtest.NewOutput("bench", 1)},
		Fill:      func(int64, []dmx.Frame) bool { return false },
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	text, err := json.MarshalIndent(loop.Counters(), "", "  ")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(string(text)) // before the loop has run
	// Output:
	// {
	//   "frames": 0,
	//   "late": 0,
	//   "missed": 0,
	//   "lateness_p50_ns": 0,
	//   "lateness_p99_ns": 0,
	//   "lateness_max_ns": 0,
	//   "outputs": [
	//     {
	//       "name": "bench",
	//       "sent": 0,
	//       "repeated": 0,
	//       "dropped": 0,
	//       "errors": 0,
	//       "status": {
	//         "up": true,
	//         "where": "memory"
	//       }
	//     }
	//   ],
	//   "scheduler": ""
	// }
}
