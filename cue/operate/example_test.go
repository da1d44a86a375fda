package operate_test

import (
	"fmt"

	"limn/cue/operate"
)

func ExampleParse() {
	s := shoot("bow", "bow at dusk")
	c, _ := operate.Parse("go Bow at Dusk", s)
	fmt.Println(c)
	_, err := operate.Parse("go bow at dsk", s)
	fmt.Println(err)
	// Output:
	// go "bow at dusk"
	// there is no cue "bow at dsk"; did you mean "bow at dusk"?
}

func ExampleParseProgram() {
	program, _ := operate.ParseProgram("--do", "0s next; 2.5s go beam; 1 min dark", shoot("bow", "beam"))
	for _, c := range program {
		fmt.Printf("frame %d: %s\n", c.K(), c.Command)
	}
	_, err := operate.ParseProgram("--do", "0s nxt; dark", shoot("bow", "beam"))
	fmt.Println(err)
	// Output:
	// frame 0: next
	// frame 110: go "beam"
	// frame 2640: dark
	// --do:1:4: there is no command "nxt"; did you mean "next"?
	// --do:1:9: "dark" has no time; the time comes first, as in "0s next" or "1 min 30 s dark"
}

func ExampleTrace() {
	s := shoot("bow", "beam")
	program, _ := operate.ParseProgram("--do", "0s next; 2s dark", s)
	end, _ := operate.Trace(s, program, 0, func(f *operate.Frame) error {
		if f.K%22 == 0 {
			fmt.Printf("%.1f s %-7s %s Y %.3f\n", float64(f.K)/44, f.Status.Motion, f.Cue, f.Asked[sky].Y)
		}
		return nil
	})
	fmt.Println(end)
	// Output:
	// 0.0 s fading  bow Y 0.000
	// 0.5 s fading  bow Y 0.250
	// 1.0 s fading  bow Y 0.500
	// 1.5 s settled bow Y 0.500
	// 2.0 s fading  bow Y 0.500
	// 2.5 s fading  bow Y 0.250
	// 3.0 s fading  bow Y 0.000
	// settled
}
