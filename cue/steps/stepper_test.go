package steps_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/cue"
	"limn/cue/steps"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
)

// shoot has three cues lit by two sources, and the sequence.
func shoot(t testing.TB, q cue.Sequence) (*cue.Shoot, []cue.Shot) {
	t.Helper()
	s := &cue.Shoot{
		Rig:       &fixtures.Rig{Sources: []fixtures.Source{{Name: "sky"}, {Name: "horizon"}}},
		Sequences: []cue.Sequence{q},
	}
	for i, name := range []string{"bow", "beam", "stern"} {
		s.Cues = append(s.Cues, cue.Cue{Name: name})
		white := colour.White{Kelvin: 5600}.XY()
		s.Resolved = append(s.Resolved, cue.Resolved{
			Name: name, Azimuth: float64(35 + 60*i), HasAngle: true,
			Light: []cue.Light{{Asked: white.XYZ(0.5)}, {Asked: white.XYZ(0.1)}},
		})
	}
	shots, err := s.Expand(&q)
	if err != nil {
		t.Fatal(err)
	}
	return s, shots
}

func stay(seconds float64) *quantity.Duration { return &quantity.Duration{Seconds: seconds} }

// run drives a stepper as an engine does: every call of a cue settles after so many frames. It
// tells the deeds with their frames, and ends after so many or where nothing comes by itself.
func run(st *steps.Stepper, settle int64, most int, answer func(d steps.Deed, k int64) bool) []string {
	var out []string
	k, settled := int64(0), int64(0)
	for range most {
		d, at := st.Next(steps.Facts{K: k, SettledAt: settled})
		if at < 0 {
			if answer == nil || !answer(d, k) {
				return out
			}
			continue
		}
		k = at
		word := d.Action.String()
		switch d.Action {
		case steps.CallCue:
			word += fmt.Sprintf(" %d", d.Shot.Cue)
			settled = k + settle
		case steps.TakePicture:
			word += " " + d.Name
		case steps.Ready, steps.GoBack, steps.StopTable:
			settled = k + settle
		case steps.Roll:
			settled = k + 3*settle
		}
		out = append(out, fmt.Sprintf("%d %s", k, word))
		st.Did(d.Action, k)
		if d.Action == steps.Over {
			return out
		}
	}
	return out
}

func check(t *testing.T, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("got:\n  %s\nwant:\n  %s", strings.Join(got, "\n  "), strings.Join(want, "\n  "))
	}
}

// Each light settles, rests for its stay, and the next follows.
func TestByTime(t *testing.T) {
	q := cue.Sequence{Name: "round", By: cue.ByTime, Steps: []cue.Step{{Cue: "bow", Stay: stay(1)}, {Cue: "beam", Stay: stay(0.5)}, {Cue: "bow", Stay: stay(0)}}}
	_, shots := shoot(t, q)
	check(t, run(steps.New(&q, shots, steps.Options{}), 100, 50, nil),
		"0 call cue 0", "144 call cue 1", "266 call cue 0", "366 over")
}

func TestByStep(t *testing.T) {
	q := cue.Sequence{Name: "round", By: cue.ByStep, Steps: []cue.Step{{Cue: "bow"}, {Cue: "beam"}}}
	_, shots := shoot(t, q)
	st := steps.New(&q, shots, steps.Options{})
	check(t, run(st, 10, 50, nil), "0 call cue 0")
	if !st.Say(steps.Onward, 700) {
		t.Error("it does not go onward")
	}
	if d, k := st.Next(steps.Facts{K: 700}); d.Action != steps.CallCue || d.Shot.Cue != 1 || k != 700 {
		t.Errorf("%v at %d", d.Action, k)
	}
}

// Passes and focus: a light is called where it changes, and every picture waits for it to settle. Between two
// pictures in one light only the person's five frames pass.
func TestByFrame(t *testing.T) {
	q := cue.Sequence{Name: "harbour", By: cue.ByFrame, Steps: []cue.Step{{Cue: "bow"}}}
	q.Pictures = cue.Pictures{EachPass: true, Focus: []quantity.Length{{Metres: 0.48}, {Metres: 0.5}}, Order: []string{"pass"}}
	_, shots := shoot(t, q)
	st := steps.New(&q, shots, steps.Options{Image: 4711})
	k := int64(0)
	fire := func(d steps.Deed, at int64) bool {
		k = at + 5
		return st.Say(steps.Confirm, k)
	}
	got := run(st, 20, 100, fire)
	check(t, got,
		"0 call cue 0", "20 take picture harbour-0001-bow-p01-sky-f001", "25 take picture harbour-0002-bow-p01-sky-f002",
		"25 call cue 0", "45 take picture harbour-0003-bow-p02-horizon-f001", "50 take picture harbour-0004-bow-p02-horizon-f002",
		"50 call cue 0", "70 take picture harbour-0005-bow-p03-all-f001", "75 take picture harbour-0006-bow-p03-all-f002",
		"75 over")
}

// A picture that fails pauses; the light is not touched, and the same picture follows. Numbers of images count
// what was taken.
func TestFailure(t *testing.T) {
	q := cue.Sequence{Name: "still", By: cue.ByFrame, Steps: []cue.Step{{Cue: "bow", Frames: 2}}}
	_, shots := shoot(t, q)
	st := steps.New(&q, shots, steps.Options{Image: 10})
	facts := steps.Facts{K: 30, SettledAt: 20}
	st.Did(steps.CallCue, 0)
	d, k := st.Next(facts)
	if d.Action != steps.TakePicture || k != 30 || d.Image != 10 {
		t.Fatalf("%+v at %d", d, k)
	}
	st.Did(d.Action, k)
	st.Captured(50, "the camera does not answer")
	if d, k := st.Next(facts); d.Action != steps.Rest || k != -1 || st.Trouble() != "the camera does not answer" {
		t.Fatalf("after a failure: %v at %d, %q", d.Action, k, st.Trouble())
	}
	if !st.Say(steps.Continue, 60) {
		t.Fatal("it does not go on")
	}
	facts.K = 60
	if d, k = st.Next(facts); d.Action != steps.TakePicture || d.Entry != 0 || d.Image != 10 || k != 60 {
		t.Fatalf("%+v at %d", d, k)
	}
	st.Did(d.Action, k)
	st.Captured(70, "")
	facts.K = 70
	if d, k = st.Next(facts); d.Action != steps.TakePicture || d.Entry != 1 || d.Image != 11 || k != 70 {
		t.Fatalf("%+v at %d", d, k)
	}
}

// A time lapse keeps to its interval, from start to start.
func TestInterval(t *testing.T) {
	q := cue.Sequence{Name: "lapse", By: cue.ByFrame, Steps: []cue.Step{{Cue: "bow"}}}
	q.Pictures = cue.Pictures{Frames: 3, Exposures: 2, Interval: quantity.Duration{Seconds: 10}}
	_, shots := shoot(t, q)
	st := steps.New(&q, shots, steps.Options{})
	var at []int64
	k := int64(0)
	st.Did(steps.CallCue, 0)
	for range 6 {
		d, due := st.Next(steps.Facts{K: k, SettledAt: 10})
		at = append(at, due)
		st.Did(d.Action, due)
		k = due + 30
		st.Captured(k, "")
	}
	if want := []int64{10, 40, 450, 480, 890, 920}; !slices.Equal(at, want) {
		t.Errorf("pictures at %v, want %v", at, want)
	}
}

// A moving shot from the confirm to the way back, and a second take.
func TestByAngle(t *testing.T) {
	q := cue.Sequence{Name: "turn", By: cue.ByAngle, Steps: []cue.Step{{Cue: "bow"}, {Cue: "beam"}}}
	q.Turning = cue.Turning{Drive: cue.DriveMotor, Speed: 4, Return: true}
	_, shots := shoot(t, q)
	st := steps.New(&q, shots, steps.Options{})
	var asked []string
	answer := func(d steps.Deed, k int64) bool {
		asked = append(asked, d.Ask)
		switch {
		case strings.HasSuffix(d.Ask, "confirm"):
			return st.Say(steps.Confirm, k)
		case strings.HasSuffix(d.Ask, "rolling?"):
			return st.Say(steps.Rolling, k)
		case strings.HasSuffix(d.Ask, "cut?"):
			return st.Say(steps.Cut, k)
		}
		return false
	}
	check(t, run(st, 50, 50, answer),
		"0 ready", "50 rest", "50 roll", "200 hold the end", "200 go back", "250 rest", "250 over")
	if len(asked) != 4 || asked[1] != "take 1: rolling?" {
		t.Errorf("asked: %q", asked)
	}
	if !st.Say(steps.Again, 300) || st.Take() != 2 {
		t.Error("there is no second take")
	}
	asked = nil
	got := run(st, 50, 2, answer)
	if len(got) > 1 || len(asked) == 0 {
		t.Errorf("the table moves before it may: %v", got)
	}
}

// Cut while the table turns: it comes to rest, and does not go back unasked.
func TestCutEarly(t *testing.T) {
	q := cue.Sequence{Name: "turn", By: cue.ByAngle, Steps: []cue.Step{{Cue: "bow"}, {Cue: "beam"}}}
	q.Turning = cue.Turning{Drive: cue.DriveMotor, Speed: 4}
	_, shots := shoot(t, q)
	st := steps.New(&q, shots, steps.Options{})
	st.Say(steps.Confirm, 0)
	st.Did(steps.Ready, 0)
	st.Did(steps.Rest, 40)
	st.Say(steps.Rolling, 50)
	st.Did(steps.Roll, 50)
	if !st.Say(steps.Cut, 90) {
		t.Fatal("it does not cut")
	}
	d, k := st.Next(steps.Facts{K: 90, SettledAt: 900})
	if d.Action != steps.StopTable || k != 90 {
		t.Fatalf("%v at %d", d.Action, k)
	}
	st.Did(d.Action, k)
	if d, k := st.Next(steps.Facts{K: 90, SettledAt: 130}); d.Action != steps.Rest || k != 130 {
		t.Fatalf("%v at %d", d.Action, k)
	}
	st.Did(steps.Rest, 130)
	if !st.Done() {
		t.Error("it is not over")
	}
}

// Whatever is said and reported: no frame before the present one, no table that moves unasked, no
// panic, and a copy goes on as the original does.
func TestRandom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := cue.Sequence{Name: "any", By: rapid.SampledFrom(cue.SequenceKinds()).Draw(t, "by")}
		for range rapid.IntRange(1, 4).Draw(t, "steps") {
			q.Steps = append(q.Steps, cue.Step{Cue: rapid.SampledFrom([]string{"bow", "beam", "stern"}).Draw(t, "cue"), Stay: stay(rapid.Float64Range(0, 2).Draw(t, "stay"))})
		}
		q.Pictures = cue.Pictures{Frames: rapid.IntRange(0, 3).Draw(t, "frames"), EachPass: rapid.Bool().Draw(t, "passes")}
		q.Turning = cue.Turning{Drive: rapid.SampledFrom(cue.DriveWords()).Draw(t, "drive"), Speed: 4, Return: rapid.Bool().Draw(t, "return")}
		s := &cue.Shoot{Rig: &fixtures.Rig{Sources: []fixtures.Source{{Name: "sky"}}}}
		for _, name := range []string{"bow", "beam", "stern"} {
			s.Cues = append(s.Cues, cue.Cue{Name: name})
			s.Resolved = append(s.Resolved, cue.Resolved{Name: name, HasAngle: true, Light: []cue.Light{{Asked: colour.XYZ{X: 1, Y: 1, Z: 1}}}})
		}
		shots, err := s.Expand(&q)
		if err != nil {
			t.Fatal(err)
		}
		st := steps.New(&q, shots, steps.Options{Dry: rapid.Bool().Draw(t, "dry")})
		k, settled, confirmed := int64(0), int64(0), false
		for range rapid.IntRange(1, 80).Draw(t, "events") {
			f := steps.Facts{K: k, SettledAt: settled}
			d, at := st.Next(f)
			twin := *st
			if d2, at2 := twin.Next(f); d2.Action != d.Action || at2 != at {
				t.Fatal("asked twice it answers twice")
			}
			if at >= 0 && at < k {
				t.Fatalf("%v is due at %d, it is %d", d.Action, at, k)
			}
			switch rapid.IntRange(0, 4).Draw(t, "event") {
			case 0, 1:
				if at < 0 {
					break
				}
				if (d.Action == steps.Ready || d.Action == steps.GoBack) && q.Turning.Drive == cue.DriveMotor && !confirmed {
					t.Fatalf("%v unasked", d.Action)
				}
				if d.Action == steps.Ready || d.Action == steps.GoBack {
					confirmed = false
				}
				k = at
				st.Did(d.Action, k)
				settled = k + int64(rapid.IntRange(-1, 100).Draw(t, "settles"))
			case 2:
				w := steps.Word(rapid.IntRange(0, int(steps.Again)).Draw(t, "word"))
				if st.Say(w, k) && w == steps.Confirm {
					confirmed = true
				}
			case 3:
				st.Captured(k, rapid.SampledFrom([]string{"", "no card"}).Draw(t, "failure"))
			case 4:
				k += int64(rapid.IntRange(0, 50).Draw(t, "later"))
			}
		}
	})
}

func ExampleStepper() {
	q := cue.Sequence{Name: "round", By: cue.ByTime, Steps: []cue.Step{{Cue: "bow", Stay: stay(4)}, {Cue: "beam", Stay: stay(4)}}}
	_, shots := shoot(&testing.T{}, q)
	st := steps.New(&q, shots, steps.Options{})
	d, k := st.Next(steps.Facts{K: 0})
	fmt.Println(k, d.Action, d.Shot.Cue)
	st.Did(d.Action, k)
	d, k = st.Next(steps.Facts{K: 1, SettledAt: 110}) // a fade of 2.5 s
	fmt.Println(k, d.Action, d.Shot.Cue)
	// Output:
	// 0 call cue 0
	// 286 call cue 1
}
