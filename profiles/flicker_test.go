package profiles

import (
	"slices"
	"strings"
	"testing"

	"limn/fixtures"
)

// withPWM is the sound profile with a line of flicker.
func withPWM(line string) (*fixtures.Profile, []string) {
	return problems(strings.Replace(sound, "standby =", line+"\nstandby =", 1))
}

func TestFlickerIsRead(t *testing.T) {
	for line, want := range map[string]fixtures.Flicker{
		"":                              {},
		`pwm = { frequency = "2 kHz" }`: {Hertz: 2000, Depth: 1},
		`pwm = { frequency = "100 Hz", depth = "30 %", shape="sine" }`: {Hertz: 100, Depth: 0.3, Sine: true},
	} {
		p, faults := withPWM(line)
		if len(faults) > 0 || p.Flicker != want {
			t.Errorf("%s: %+v, %v", line, p.Flicker, faults)
		}
	}
}

func TestFlickerFaults(t *testing.T) {
	for line, want := range map[string]string{
		`pwm = "2 kHz"`:                                `p.toml:5:7: pwm is a text, a table is wanted; write pwm = { frequency = "2 kHz" }, with depth = "30 %" if it does not go to nothing`,
		`pwm = { depth = "30 %" }`:                     `p.toml:5:7: frequency is missing; write frequency = "2 kHz"`,
		`pwm = { frequency = "2 kHz", depth = "0 %" }`: `p.toml:5:38: a light that swings by nothing does not flicker; leave pwm out`,
		`pwm = { frequency = "2 kHz", shape = "saw" }`: `p.toml:5:38: shape cannot be "saw"; known: "square", "sine"`,
		`pwm = { frequency = "2 kHz", dept = "30 %" }`: `p.toml:5:30: unknown key dept; did you mean "depth"?`,
		`pwm = { frequency = "0.1 Hz" }`:               `p.toml:5:21: `,
		`pwm = { frequency = "2000", depth = "30 %" }`: `p.toml:5:21: `,
	} {
		_, faults := withPWM(line)
		if !slices.ContainsFunc(faults, func(f string) bool { return strings.HasPrefix(f, want) }) {
			t.Errorf("%s: %q, want %q", line, faults, want)
		}
	}
}
