package measure_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"limn/fixtures/colour"
	"limn/profiles/measure"
)

func TestReadTable(t *testing.T) {
	for _, c := range []struct {
		name, text string
		columns    measure.Columns
	}{
		{"plain", "source,control,level,lux,x,y,after\nsky,warm,50 %,1200,0.45,0.41,60\n", nil},
		{"as instruments have it", "\ufeffDevice;X-1\nSerial;0001\n\nName;Emitter;Code;Ev [lx];CIE x;CIE y;Elapsed (s)\nsky;warm;50 %;1200,0;0,45;0,41;60\n", nil},
		{"tabs", "source\tcontrol\tlevel\tilluminance\tX\tY\tZ\tx\ty\tafter\nsky\twarm\t50 %\t1200\t1\t2\t3\t0,45\t0,41\t60\n", nil},
		{"named", "a,b,c,d,e,f,g\nsky,warm,50 %,1200,0.45,0.41,60\n", measure.Columns{"source": "a", "control": "b", "level": "c", "lux": "d", "x": "e", "y": "f", "after": "g"}},
	} {
		rows, used, err := measure.ReadTable(strings.NewReader(c.text), c.columns)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		want := measure.Row{Line: rows[0].Line, Source: "sky", Control: "warm", Level: "50 %", Lux: 1200, XY: colour.XY{X: 0.45, Y: 0.41}, After: 60}
		if len(rows) != 1 || rows[0] != want || used[measure.FieldLux] == "" {
			t.Errorf("%s: %+v %v", c.name, rows, used)
		}
		q, err := rows[0].Resolve("f.csv", "sky", generic(t, "bicolour-panel"), "")
		if err != nil || q.Level != 0.5 || q.Line != rows[0].Line {
			t.Errorf("%s: %+v %v", c.name, q, err)
		}
	}
}

func TestTableFaults(t *testing.T) {
	for _, c := range []struct{ name, text, says string }{
		{"nothing", "", "no line of the table looks like a header"},
		{"no lux", "source,x,y\nsky,0.3,0.3\n", "no column of lux"},
		{"no readings", "source,lux\n", "no readings below its header"},
		{"words", "source,lux\nsky,bright\n", `line 2: "bright" is no number`},
		{"wrong column", "lux,x,y\n1200,0.45,41\n", "y of 41"},
		{"no such colour", "lux,x,y\n1200,0.1,0.05\n", "no light can have"},
		{"kelvin that are none", "lux,cct\n1200,1\n", "no white of a light"},
		{"a column that counts", "lux,x\n1,0.3\n2,0.3\n3,0.3\n4,0.3\n5,0.3\n", "counts the lines"},
		{"negative", "lux\n-3\n", "lux of -3"},
	} {
		_, _, err := measure.ReadTable(strings.NewReader(c.text), nil)
		var e *measure.TableError
		if !errors.As(err, &e) || !strings.Contains(e.Error(), c.says) || e.Cure == "" {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if _, _, err := measure.ReadTable(strings.NewReader(strings.Repeat("lux\n", measure.MaxTableBytes/4+1)), nil); err == nil || !strings.Contains(err.Error(), "larger") {
		t.Errorf("a table too large: %v", err)
	}
	p := generic(t, "bicolour-panel")
	for _, row := range []measure.Row{{Control: "hot"}, {Control: "warm", Level: "0.5"}, {Control: "warm", Level: "256"}, {Control: "warm", Level: "101 %"}} {
		if _, err := row.Resolve("f", "sky", p, ""); err == nil {
			t.Errorf("%+v resolves", row)
		}
	}
	if q, err := (measure.Row{Control: "dark", Lux: 2}).Resolve("f", "sky", p, ""); err != nil || !q.IsDark() {
		t.Errorf("dark: %+v %v", q, err)
	}
	if q, err := (measure.Row{Control: "warm", Level: "128", Lux: 2}).Resolve("f", "sky", p, ""); err != nil || q.Level != 128.0/255 {
		t.Errorf("a code: %+v %v", q, err)
	}
}

func FuzzReadTable(f *testing.F) {
	for _, s := range []string{
		"source,control,level,lux,x,y,after\nsky,warm,50 %,1200,0.45,0.41,60\n", "lux;x\n1,5;0,3\n", "\"", "lux\n\"1", "a\tb\tlux\n1\t2\t3\n", "#\nlux\n1e400\n",
	} {
		f.Add(s)
	}
	p := generic(f, "rgb-light")
	f.Fuzz(func(t *testing.T, text string) {
		rows, _, err := measure.ReadTable(strings.NewReader(text), nil)
		if err != nil {
			return
		}
		for _, r := range rows {
			if r.Lux < 0 || r.Lux > measure.MaxLux || r.After < 0 || r.XY != (colour.XY{}) && !colour.IsReal(r.XY) {
				t.Errorf("%+v", r)
			}
			if q, err := r.Resolve("f", "s", p, "red"); err == nil && !(q.Level >= 0 && q.Level <= 1) && !math.IsNaN(q.Level) {
				t.Errorf("%+v", q)
			}
		}
	})
}
