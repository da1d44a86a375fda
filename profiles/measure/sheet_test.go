package measure_test

import (
	"strings"
	"testing"

	"limn/profiles/measure"
	"limn/profiles/tomlfile"
)

const goodSheet = `version = 1
instrument = "hand spectrometer"
distance = "0.55 m"
reference = "sky"
[[reading]]
source = "sky"
control = "warm"
level = 128
lux = "830 lx"
colour = "xy 0.4573 0.4089"
after = "12 min"
[[spectrum]]
source = "sky"
control = "warm"
file = "warm.csv"
[[photo]]
source = "sky"
control = "warm"
level = "50 %"
file = "IMG_0012.tif"
shutter = "1/50 s"
aperture = "f/8"
iso = 400
[[known]]
file = "k.tif"
dark = "d.tif"
lux = "700 lx"
colour = "2870 K"
`

func TestParseSheet(t *testing.T) {
	var ps tomlfile.Problems
	s, ok := measure.ParseSheet("sheet.toml", []byte(goodSheet), &ps)
	if !ok || len(ps.Sorted()) > 0 {
		t.Fatal(ps.Sorted())
	}
	q, f, k := s.Readings[0], s.Photos[0], s.Known[0]
	if q.Level != "128" || q.Lux != 830 || q.After != 720 || q.XY.X != 0.4573 || q.Line != 5 || s.Distance.Metres != 0.55 {
		t.Errorf("%+v", q)
	}
	if f.Shutter != 0.02 || f.Aperture != 8 || f.ISO != 400 || f.Level != "50 %" || k.Dark != "d.tif" || k.Lux != 700 || s.Spectra[0].File != "warm.csv" {
		t.Errorf("%+v %+v", f, k)
	}
	for _, c := range []struct{ old, new, says string }{
		{"version = 1", "version = 2", "has version 2"},
		{`lux = "830 lx"`, `lux = "5600 K"`, "colour temperature"},
		{`lux = "830 lx"`, ``, "lux"},
		{"0.4573 0.4089", "0.1 0.05", "no light has"},
		{`"2870 K"`, `"white"`, "depends on the camera"},
		{`"1/50 s"`, `"180 deg"`, "says no time"},
		{"iso = 400", "iso = 0", "ISO of 0"},
		{"instrument", "instrumnet", "instrument"},
	} {
		var ps tomlfile.Problems
		_, ok := measure.ParseSheet("sheet.toml", []byte(strings.Replace(goodSheet, c.old, c.new, 1)), &ps)
		found := ps.Sorted()
		if ok || len(found) != 1 || !strings.Contains(found[0].String(), c.says) || found[0].Line == 0 {
			t.Errorf("%s: %v", c.new, found)
		}
	}
	var none tomlfile.Problems
	if _, ok := measure.ParseSheet("sheet.toml", []byte("version = 1\n"), &none); ok || !strings.Contains(none.Sorted()[0].What, "no readings") {
		t.Errorf("%v", none.Sorted())
	}
}

func FuzzParseSheet(f *testing.F) {
	f.Add([]byte(goodSheet))
	f.Add([]byte("version = 1\nreading = [{}]\n"))
	f.Add([]byte("version = 1\nphoto = [{ source = \"s\", level = 1.5, file = \"x\" }]\nknown = 3\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		var ps tomlfile.Problems
		s, ok := measure.ParseSheet("f", src, &ps)
		if s == nil || ok && ps.Failed() || !ok && !ps.Failed() {
			t.Errorf("ok %v, %v", ok, ps.Sorted())
		}
	})
}
