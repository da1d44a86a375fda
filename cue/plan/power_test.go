package plan

import (
	"strings"
	"testing"

	"limn/fixtures/supply"
)

func power(t tb, changes ...string) *Power {
	t.Helper()
	r, err := NewPower(edited(t, changes...), Options{})
	if err != nil {
		t.Fatalf("%v", err)
	}
	return r
}

// Watts add up; the peak is the cue that takes the most; what is on the battery is
// on no circuit.
func TestPowerAddsUp(t *testing.T) {
	r := power(t)
	peak := 0.0
	for i := range r.Cues {
		c := &r.Cues[i]
		sum := 0.0
		for _, w := range c.Each {
			sum += w.Value
		}
		near(t, c.Name, c.Watts.Value+c.Battery.Value, sum, 1e-12)
		peak = max(peak, c.Watts.Value)
	}
	near(t, "peak", r.Peak.Value, peak, 1e-12)
	if r.Most.Value < peak {
		t.Errorf("every light at its most takes %g W, the peak %g W", r.Most.Value, peak)
	}
	for _, c := range r.Circuits {
		for _, name := range c.Sources {
			if name == "torch" {
				t.Error("the torch is on a circuit and on the battery")
			}
		}
	}
	// The torch of 3 W at its share of the cue, off 12 Wh.
	for i := range r.Cues {
		if r.Cues[i].Name == "bow at dusk" {
			near(t, "hours", r.Battery[i].Value, supply.Runtime(12, 0.9, 0.85, r.Cues[i].Battery.Value), 1e-12)
		} else if r.Battery[i].Known() {
			t.Errorf("%s lasts %g h with nothing on the battery", r.Cues[i].Name, r.Battery[i].Value)
		}
	}
}

// The 80 % figure, by its check value; more than that is said.
func TestCircuitLoad(t *testing.T) {
	v := checkOf(t, "saf-circuit-1") // 20 A, 120 V: 16 A for hours
	r := power(t, `volts        = "230 V"`, `volts = "120 V"`, `breaker      = "16 A"`, `breaker = "20 A"`, `power-factor = 0.9`, `power-factor = 1`)
	v.holds(t, "A_continuous", r.Circuits[0].Carries.Value)
	near(t, "load", r.Circuits[0].Load.Value, 100*r.Circuits[0].Watts.Value/120/16, 1e-12)
	r = power(t, `breaker      = "16 A"`, `breaker = "0.5 A"`)
	if !r.Circuits[0].Over || len(r.Notes) == 0 || !strings.Contains(r.Notes[0], "spread the lights over more circuits") {
		t.Errorf("%+v, %v", r.Circuits[0], r.Notes)
	}
}

// Low-voltage drop, as the formula has it; above what is seen it is said.
func TestCableDrop(t *testing.T) {
	r := power(t)
	c := &r.Cables[0]
	near(t, "drop", c.Drop.Value, 100*supply.Drop(c.Amperes.Value, 4, 0.75, 20, true)/12, 1e-12)
	near(t, "at its end", c.Volts.Value, 12-supply.Drop(c.Amperes.Value, 4, 0.75, 20, true), 1e-12)
	r = power(t, `area = "0.75 mm2"`, `area = "0.1 mm2"`)
	if !r.Cables[0].Over || !strings.Contains(strings.Join(r.Notes, "\n"), "the cable to horizon loses") {
		t.Errorf("%+v, %v", r.Cables[0], r.Notes)
	}
}

// Every figure has its caution beside it.
func TestPowerCautions(t *testing.T) {
	all := strings.Join(power(t).Cautions, "\n")
	for _, want := range []string{supply.CautionCircuit, supply.CautionCable, supply.CautionBattery, supply.CautionHeat, "Do not stare"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not said", want)
		}
	}
	if got := strings.Join(power(t, "[subject]", "allow-flashing = true\n[subject]").Cautions, "\n"); !strings.Contains(got, "seizures") {
		t.Error("flashing is allowed without its caution")
	}
}
