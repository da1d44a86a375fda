package plan_test

import (
	"fmt"
	"os"

	"limn/cue/files"
	"limn/cue/plan"
)

// What a cue gives the camera, and why.
func ExampleNewExpose() {
	shoot, problems := files.Load("kittiwake", os.DirFS("../../testdata/kittiwake"))
	if shoot == nil {
		fmt.Println(problems)
		return
	}
	report, err := plan.NewExpose(shoot, plan.Options{Cues: []string{"beam"}})
	if err != nil {
		fmt.Println(err)
		return
	}
	c := &report.Cues[0]
	over := c.Figure("over")
	fmt.Println(c.Name, over.Text)
	fmt.Println(over.Why.Law)
	fmt.Println(c.Say[0])
	// Output:
	// beam -0.9 stop
	// stops = log2(ratio)
	// 0.9 stop under the settings: shutter 1/6 s, or f/11, or ISO 800, or 0.9 stop more light (sky has 0.5 stop left)
}
