package journal_test

import (
	"fmt"
	"os"

	"limn/cue/journal"
)

// A run is written, and read back as what made its light.
func Example() {
	dir, err := os.MkdirTemp("", "shoot")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)

	j := journal.Begin(dir, journal.Options{
		Program: "1.0",
		Files:   journal.Files{{Path: "rig.toml", Data: []byte("[subject]\nname = \"Kittiwake\"\n")}},
	})
	j.Command(0, "next")
	j.Command(110, "trim sky up 1/2 stop")
	if err := j.Close(200); err != nil {
		panic(err)
	}

	run, err := journal.Last(dir)
	if err != nil {
		panic(err)
	}
	fmt.Println("ended cleanly:", run.Ended, "in frame", run.Reached)
	for step, err := range run.Steps() {
		if err != nil {
			panic(err)
		}
		fmt.Println(step.K, step.Text)
	}
	// Output:
	// ended cleanly: true in frame 200
	// 0 next
	// 110 trim sky up 1/2 stop
}
