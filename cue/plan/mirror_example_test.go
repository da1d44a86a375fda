package plan_test

import (
	"fmt"
	"os"

	"limn/cue/files"
	"limn/cue/plan"
)

func ExampleParseLine() {
	line, err := plan.ParseLine("starboard upper edge 10 % to 60 %")
	fmt.Println(line.From.Along, line.To.Along, err)
	_, err = plan.ParseLine("starbord bow to stern")
	fmt.Println(err)
	// Output:
	// 0.1 0.6 <nil>
	// a line begins with its side, found "starbord"; did you mean "starboard"?
}

func ExampleSlates() {
	shoot, _ := files.Load("kittiwake", os.DirFS("../../testdata/kittiwake"))
	fmt.Println(plan.Slates(shoot))
	// Output: [A A-dusk B C D E F-moonlight G]
}

func ExampleLightInShort() {
	shoot, _ := files.Load("kittiwake", os.DirFS("../../testdata/kittiwake"))
	fmt.Println(plan.LightInShort(shoot, &shoot.Resolved[0]))
	// Output: key sky, horizon -2, left stroke -1, right stroke -1.7, fill -3 stops
}
