package calc

import (
	"encoding/json"
	"os"
	"strings"
	"testing"
)

// vector is one check value; its source stands in the file beside it.
type vector struct {
	ID        string
	Inputs    map[string]any
	Expected  map[string]any
	Source    string
	Tolerance struct{ Rel, Abs float64 }
}

func vectors(t *testing.T) []vector {
	t.Helper()
	data, err := os.ReadFile("../../../testdata/photography/photography.json")
	if err != nil {
		t.Fatal(err)
	}
	var vs []vector
	if err := json.Unmarshal(data, &vs); err != nil {
		t.Fatal(err)
	}
	if len(vs) < 100 {
		t.Fatalf("%d check values", len(vs))
	}
	return vs
}

func TestCheckValues(t *testing.T) {
	met := map[string]bool{}
	for _, v := range vectors(t) {
		name := v.ID[:strings.LastIndex(v.ID, "-")]
		f, err := Find(name)
		if err != nil {
			t.Errorf("%s: %v", v.ID, err)
			continue
		}
		met[name] = true
		a, err := f.Solve(v.Inputs)
		if err != nil {
			t.Errorf("%s: %v", v.ID, err)
			continue
		}
		if len(a.Outputs) != len(v.Expected) {
			t.Errorf("%s gives %v, want %v", v.ID, a.Outputs, v.Expected)
		}
		for key, want := range v.Expected {
			if what := differs(a.Outputs[key], want, v.Tolerance.Rel, v.Tolerance.Abs); what != "" {
				t.Errorf("%s: %s %s (%s)", v.ID, key, what, v.Source)
			}
		}
	}
	for _, f := range Formulas() {
		if !met[f.Name] {
			t.Errorf("%s has no check value", f.Name)
		}
	}
}
