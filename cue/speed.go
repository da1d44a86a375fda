package cue

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"limn/fixtures/quantity"
)

// ParseTurnSpeed reads how fast a table turns, in degrees a second: "4 deg/s", "-4°/s".
// Positive is counter-clockwise seen from above. Errors are of *quantity.Error.
func ParseTurnSpeed(text string) (float64, error) {
	const cure = `write "4 deg/s", or "-4 deg/s" for clockwise`
	wrong := func(format string, args ...any) (float64, error) {
		return 0, &quantity.Error{What: fmt.Sprintf(format, args...), Cure: cure}
	}
	if len(text) > quantity.MaxText {
		return wrong("a text of %d bytes is no speed", len(text))
	}
	number := strings.TrimSpace(text)
	unit := ""
	for _, u := range []string{"deg/s", "°/s"} {
		if rest, ok := strings.CutSuffix(number, u); ok {
			number, unit = rest, u
			break
		}
	}
	number = strings.NewReplacer("\u2212", "-", "\u2013", "-", "\u00a0", "", "\u2009", "", "\u202f", "").Replace(strings.TrimSpace(number))
	v, err := strconv.ParseFloat(number, 64)
	switch {
	case err == nil && unit == "":
		return wrong("%q has no unit", strings.TrimSpace(text))
	case err != nil || math.IsNaN(v) || math.IsInf(v, 0) || strings.ContainsAny(number, "eExXpPnN_"):
		return wrong("%q is no speed of a table", text)
	case v == 0:
		return wrong("a table at %s stands", strings.TrimSpace(text))
	case math.Abs(v) < MinTurnSpeed || math.Abs(v) > MaxTurnSpeed:
		return 0, &quantity.Error{
			What: fmt.Sprintf("a speed of %s is out of range", strings.TrimSpace(text)),
			Cure: fmt.Sprintf("it goes from %g to %g deg/s either way", MinTurnSpeed, MaxTurnSpeed),
		}
	}
	return v, nil
}
