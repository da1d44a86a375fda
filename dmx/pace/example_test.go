package pace_test

import (
	"context"
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
