package profiles

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/mix"
)

// FormatCalibration prints a calibration file, which [ParseCalibration] reads
// back. Figures are rounded to more than instruments tell: whites to a tenth of a
// kelvin, other readings to six digits; response tables and times are exact.
// Printing what was read back gives the same text again. A colour that no light
// can have is printed, but not read back.
func FormatCalibration(c *fixtures.Calibration) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "version = %d\n", CalibrationVersion)
	for _, line := range []struct{ key, value string }{
		{"profile", c.Profile}, {"instrument", c.Instrument}, {"date", c.Date}, {"note", c.Note},
	} {
		if line.value != "" {
			fmt.Fprintf(&b, "%s = %s\n", line.key, tomlText(line.value))
		}
	}
	if c.Distance.Metres > 0 {
		fmt.Fprintf(&b, "distance = %s\n", tomlText(c.Distance.String()))
	}
	if c.Full > 0 {
		fmt.Fprintf(&b, "full = \"%s lx\"\n", digits(c.Full))
	}
	if len(c.CCT.Table) > 0 {
		list(&b, "cct", c.CCT.Table, func(w fixtures.WhitePoint) string {
			return fmt.Sprintf("at = %s, white = %q, flux = %q", digits(w.Share), whiteText(w.White), percent(w.Flux))
		})
	}
	if len(c.Drift) > 0 {
		list(&b, "drift", c.Drift, func(d fixtures.WhiteDrift) string {
			return fmt.Sprintf("level = %q, mired = %s, tint = %s", percent(d.Level), digits(d.Mired), digits(d.Duv))
		})
	}
	if len(c.WarmUp) > 0 {
		list(&b, "warm-up", c.WarmUp, func(w fixtures.WarmUp) string {
			return fmt.Sprintf("after = %q, loss = %q", timeText(w.After), percent(w.Loss))
		})
	}
	for i := range c.Emitters {
		formatMeasured(&b, &c.Emitters[i])
	}
	if c.Dimmer.Response != nil || c.Dimmer.Floor > 0 {
		b.WriteString("\n[dimmer]\n")
		formatCurve(&b, c.Dimmer.Response, c.Dimmer.Floor)
	}
	return []byte(b.String())
}

func formatMeasured(b *strings.Builder, m *fixtures.Measured) {
	fmt.Fprintf(b, "\n[[emitter]]\nname = %s\n", tomlText(m.Name))
	if m.XY.Y > 0 {
		fmt.Fprintf(b, "colour = %q\n", xyText(m.XY))
	}
	if m.Flux > 0 {
		fmt.Fprintf(b, "flux = \"%s lm\"\n", digits(m.Flux))
	}
	if m.Lux > 0 {
		fmt.Fprintf(b, "lux = \"%s lx\"\n", digits(m.Lux))
	}
	formatCurve(b, m.Response, m.Floor)
	if len(m.Dimmed) > 0 {
		list(b, "dimmed", m.Dimmed, func(d fixtures.Dimmed) string {
			return fmt.Sprintf("level = %q, colour = %q", percent(d.Level), xyText(d.XY))
		})
	}
}

func formatCurve(b *strings.Builder, r *mix.Response, floor int) {
	if r != nil {
		switch r.Name() {
		case "gamma":
			fmt.Fprintf(b, "response = { gamma = %s }\n", exact(r.Exponent()))
		case "table":
			var pairs []string
			for _, p := range r.Points() {
				pairs = append(pairs, fmt.Sprintf("[%s, %s]", exact(p[0]), exact(p[1])))
			}
			fmt.Fprintf(b, "response = { table = [%s] }\n", strings.Join(pairs, ", "))
		default:
			fmt.Fprintf(b, "response = %q\n", r.Name())
		}
	}
	if floor > 0 {
		fmt.Fprintf(b, "floor = %d\n", floor)
	}
}

// list prints a list of tables, a line each.
func list[T any](b *strings.Builder, key string, rows []T, line func(T) string) {
	fmt.Fprintf(b, "%s = [\n", key)
	for _, row := range rows {
		fmt.Fprintf(b, "  { %s },\n", line(row))
	}
	b.WriteString("]\n")
}

func xyText(c colour.XY) string {
	return fmt.Sprintf("xy %s %s", digits(c.X), digits(c.Y))
}

func whiteText(w colour.White) string {
	text := decimals(w.Kelvin, 1) + " K"
	if tint := decimals(w.Duv, 5); tint != "0" {
		if w.Duv > 0 {
			tint = "+" + tint
		}
		text += " tint " + tint
	}
	return text
}

func percent(share float64) string { return digits(share*100) + " %" }

func timeText(seconds float64) string {
	if minutes := seconds / 60; minutes >= 1 && minutes == math.Trunc(minutes) {
		return exact(minutes) + " min"
	}
	return exact(seconds) + " s"
}

// digits prints six significant digits at most, never with an exponent.
func digits(v float64) string {
	const significant = 6
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', significant, 64), 64)
	if err != nil {
		panic(err) // it has just been printed
	}
	if rounded == 0 { // minus nought is nought
		return "0"
	}
	return exact(rounded)
}

// decimals prints so many digits after the point at most.
func decimals(v float64, n int) string {
	text := strconv.FormatFloat(v, 'f', n, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}

// exact prints all digits, never with an exponent.
func exact(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// tomlText is a text as a basic string of TOML.
func tomlText(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range strings.ToValidUTF8(s, string(utf8.RuneError)) {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
