package operate_test

import (
	"fmt"

	"limn/cue/files"
	"limn/cue/operate"
	"limn/testdata"
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

// A balance is trimmed, told against what is kept, and taken back.
func ExampleEngine_Do() {
	folder, shoot, _ := files.OpenFS("kittiwake", testdata.Kittiwake())
	e, err := operate.New(shoot, operate.Options{AutoConfirm: true, Folder: folder})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, text := range []string{"go port quarter", "trim sky up 1/3 stop", "trim fill 20 mired warmer", "undo", "go to 230", "keep"} {
		c, err := e.Parse(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		r := e.Do(c)
		for _, n := range r.Notices {
			fmt.Println(n)
		}
		if r.Ask != nil {
			fmt.Println(r.Ask)
		}
	}
	// Output:
	// sky -1/3 stop (kept -2/3 stop)
	// "fill" cannot make 4545 K tint -0.0025: the nearest is 4525 K tint -0.0038, Δu'v' 0.0017 or 1.5 steps away
	// fill 4545 K tint -0.0025 (kept 5000 K tint -0.0025)
	// undone: trim "fill" 20 mired warmer
	// nearest is 235° port quarter, 5° away
	//   1  take: go to port quarter
	//   2  start here: begin a new angle at 230° from its light
	//   3  never mind: stay where it is
	// the light of port quarter is shared with other cues
	//   everywhere changes stern and port quarter
	//   1  keep here: in port quarter only
	//   2  keep everywhere: in all 2 cues
	//   3  keep as NAME: as a new cue
	//   4  never mind: leave it unkept
}
