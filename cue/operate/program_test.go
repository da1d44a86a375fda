package operate_test

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"reflect"
	"strings"
	"testing"

	"limn/cue/operate"

	"pgregory.net/rapid"
)

func TestParseProgram(t *testing.T) {
	s := shoot("bow", "bow at dusk", "a; b")
	text := "0s next; 2.5s go \"bow at dusk\"  # after tea; 3s next\n" +
		"# nothing here\n" +
		"1 min dark;\r\n" +
		" ; 1 min 30 s dark off ; 90500 ms hold;91s go \"a; b\""
	got, err := operate.ParseProgram("day", text, s)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"0s next", `2.5s go "bow at dusk"`, "60s dark", "90s dark off", "90.5s hold", `91s go "a; b"`,
	}
	if len(got) != len(want) {
		t.Fatalf("%v, want %v", got, want)
	}
	for i := range want {
		if got[i].String() != want[i] {
			t.Errorf("command %d is %s, want %s", i, got[i], want[i])
		}
	}
	if empty, err := operate.ParseProgram("none", " ; \n # only words\n", s); err != nil || len(empty) != 0 {
		t.Errorf("an empty program is %v (%v)", empty, err)
	}
}

// A command acts in frame ceil(t·44), by whole numbers.
func TestTimedK(t *testing.T) {
	for text, want := range map[string]int64{
		"0s": 0, "0.5s": 22, ".5s": 22, "0.25s": 11, "1s": 44, "2.5s": 110, "6s": 264, "12s": 528,
		"0.0001s": 1, "0.1s": 5, "0.3s": 14, "22ms": 1, "23ms": 2, "500 ms": 22, "0.001 ms": 1,
		"1 min": 2640, "1.1min": 2904, "0.7 min": 1848, "2.3 min": 6072, "1 min 30 s": 3960,
		"0.0227272727272s": 1, "0.0227272727273s": 2,
		"604800s": 604800 * 44,
	} {
		p, err := operate.ParseProgram("", text+" next", shoot("bow"))
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		if got := p[0].K(); got != want {
			t.Errorf("%s acts in frame %d, want %d", text, got, want)
		}
	}
	for _, at := range []float64{-1, math.NaN(), math.Inf(-1)} {
		if got := (operate.Timed{At: at}).K(); got != 0 {
			t.Errorf("%g acts in frame %d", at, got)
		}
	}
	if got := (operate.Timed{At: math.MaxFloat64}).K(); got != operate.MaxTime*44 {
		t.Errorf("the end of time is frame %d", got)
	}
}

// Whatever the decimal, no frame is early or late for its float64.
func TestTimedKIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thousandths := rapid.Int64Range(0, operate.MaxTime*1000/60).Draw(t, "thousandths")
		unit := rapid.SampledFrom([]string{"s", "min"}).Draw(t, "unit")
		text := fmt.Sprintf("%d.%03d%s", thousandths/1000, thousandths%1000, unit)
		p, err := operate.ParseProgram("", text+" next", shoot("bow"))
		if err != nil {
			t.Fatal(err)
		}
		k := big.NewRat(thousandths*44, 1000)
		if unit == "min" {
			k.Mul(k, big.NewRat(60, 1))
		}
		want := new(big.Int).Add(k.Num(), k.Denom())
		want.Sub(want, big.NewInt(1)).Quo(want, k.Denom())
		if got := p[0].K(); got != want.Int64() {
			t.Fatalf("%s acts in frame %d, want %d", text, got, want)
		}
	})
}

// All that is wrong is said at once, each at its place.
func TestProgramFaults(t *testing.T) {
	text := "0s nxt; next\n" +
		"  3s go bwo ; 2s dark\n" +
		"4 dark; 5x dark; -1s dark; 6s\n" +
		"7s dark off now; 1.2.3s dark; 8 days dark; 700000s dark; é9s next"
	_, err := operate.ParseProgram("tea.txt", text, shoot("bow"))
	var fs operate.Faults
	if !errors.As(err, &fs) {
		t.Fatalf("the error is %v", err)
	}
	want := []string{
		`tea.txt:1:4: there is no command "nxt"; did you mean "next"?`,
		`tea.txt:1:9: "next" has no time; the time comes first`,
		`tea.txt:2:9: there is no cue "bwo"; did you mean "bow"?`,
		`tea.txt:2:15: 2s comes after 3s; write commands in the order`,
		`tea.txt:3:1: the time 4 has no unit; write 4s, 4ms or 4min`,
		`tea.txt:3:10: there is no unit "x"; times are in s, ms or min`,
		`tea.txt:3:18: a time has no sign`,
		`tea.txt:3:28: 6s has no command; write for example 6s next`,
		`tea.txt:4:9: after dark comes "off now"`,
		`tea.txt:4:18: "1.2.3" is not a number`,
		`tea.txt:4:31: the time 8 has no unit`,
		`tea.txt:4:44: 700000s is too late; a program lasts at most a week`,
		`tea.txt:4:58: "é9s" has no time`,
	}
	if len(fs) != len(want) {
		t.Errorf("%d faults, want %d:\n%v", len(fs), len(want), err)
	}
	for i, line := range strings.Split(err.Error(), "\n") {
		if i < len(want) && !strings.HasPrefix(line, want[i]) {
			t.Errorf("fault %d: %s\nwant     %s", i, line, want[i])
		}
	}
}

func TestProgramLimits(t *testing.T) {
	if _, err := operate.ParseProgram("p", strings.Repeat("#", operate.MaxProgram+1), shoot("bow")); err == nil || !strings.Contains(err.Error(), "at most") {
		t.Errorf("a program past the limit: %v", err)
	}
	_, err := operate.ParseProgram("p", strings.Repeat("x;", 10*operate.MaxFaults), shoot("bow"))
	var fs operate.Faults
	if !errors.As(err, &fs) || len(fs) != operate.MaxFaults+1 {
		t.Errorf("%d faults are listed, want %d and a last word", len(fs), operate.MaxFaults)
	}
}

func FuzzParseProgram(f *testing.F) {
	s := shoot("bow", "Bow at dusk", `the "old" one`)
	for _, text := range []string{
		"0s next; 6s next; 12s dark", "0s go \"bow at dusk\"\n1 min 30 s dark # tea", "2.5s go the \"old\" one; 3s hold",
		"500ms confirm", ";;\n;#", "0s", "next", "-1s next", "1s go \"a;b", "1e3s next", "0.1.2s next", "9999999999999999999s next",
		"1s next; 0s back", "0000000\rs", "\xff1s next", "1s\u00a0next", ".s next", "0.000000000001 ms dark",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, err := operate.ParseProgram("p", text, s)
		if err != nil {
			var fs operate.Faults
			if !errors.As(err, &fs) || len(fs) == 0 {
				t.Fatalf("%q: the error is %v", text, err)
			}
			for _, x := range fs {
				if x.Line < 1 || x.Col < 1 || x.What == "" || x.Cure == "" || strings.ContainsAny(x.What+x.Cure, "\n\r\x1b") {
					t.Fatalf("%q: the fault %+v", text, x)
				}
			}
			return
		}
		last := int64(0)
		for _, c := range p {
			if c.K() < last {
				t.Fatalf("%q: %v is in frame %d, after %d", text, c, c.K(), last)
			}
			last = c.K()
			again, err := operate.ParseProgram("p", c.String(), s)
			if err != nil || len(again) != 1 || !reflect.DeepEqual(again[0], c) {
				t.Fatalf("%q: %v is read back as %v (%v)", text, c, again, err)
			}
		}
	})
}
