package profiles

import "testing"

func TestMeasure(t *testing.T) {
	for _, c := range []struct {
		of   *measure
		text string
		want float64
		err  string
	}{
		{&lumens, "1800 lm", 1800, ""},
		{&lumens, " 1800lm ", 1800, ""},
		{&lumens, "1800 lumens", 1800, ""},
		{&lumens, "1800\u00a0lm", 1800, ""},
		{&kelvins, "2700 k", 2700, ""},
		{&speeds, "−30 deg/s", -30, ""},
		{&speeds, "30°/s", 30, ""},
		{&lumens, "1800", 0, `"1800" has no unit; write "1800 lm"`},
		{&lumens, "", 0, `"" is not a luminous flux; write for example "1800 lm"`},
		{&lumens, "lots", 0, `"lots" is not a luminous flux; write for example "1800 lm"`},
		{&lumens, "-5 lm", 0, `"-5 lm" is out of range; a luminous flux lies in 0..1e+06 lm`},
		{&kelvins, "2700 lm", 0, `"2700 lm" is not in K, as a colour temperature is; write for example "2700 K"`},
		{&kelvins, "27 00 K", 0, `"27 00 K" is not in K, as a colour temperature is; write for example "2700 K"`},
		{&nanos, "1e9 nm", 0, `"1e9 nm" is not in nm, as a wavelength is; write for example "452 nm"`},
		{&nanos, "NaN nm", 0, `"NaN nm" is not a wavelength; write for example "452 nm"`},
	} {
		got, err := c.of.parse(c.text)
		text := ""
		if err != nil {
			text = err.Error()
		}
		if got != c.want || text != c.err {
			t.Errorf("%q: %g, %q; want %g, %q", c.text, got, text, c.want, c.err)
		}
	}
}

func FuzzMeasure(f *testing.F) {
	for _, s := range []string{"1800 lm", "−30 deg/s", "2700K", "", "1e400 nm", "\xff lm"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, m := range []*measure{&lumens, &kelvins, &nanos, &widths, &speeds} {
			if v, err := m.parse(text); err == nil && !(v >= m.min && v <= m.max) {
				t.Errorf("%q is taken as %g", text, v)
			}
		}
	})
}
