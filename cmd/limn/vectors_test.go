package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// The batches, asked what others have worked out: the answers of a linear
// programming solver and of exhaustive searches, in testdata/mix (how they were
// made stands in the file's own "meta").

// Tolerances: those the file states for what it tells exactly; for power the
// goal's trace of evenness costs up to 0.01 %.
const (
	vectorMaxY  = 1e-6 // relative
	vectorDrive = 1e-6
	vectorUV    = 1e-7
	vectorPower = 1e-4 // relative
	vectorMired = 0.006
	vectorDuv   = 2e-6
)

type mixVector struct {
	ID       string
	Category string
	Emitters []struct {
		Name              string
		X, Y, Flux, Watts float64
	}
	Target struct {
		XY  []float64 `json:"xy"`
		CCT float64   `json:"cct_K"`
		Duv float64   `json:"duv"`
	}
	Luminance float64
	Expect    struct {
		InGamut     bool      `json:"in_gamut"`
		MaxY        *float64  `json:"max_luminance"`
		NearestMaxY *float64  `json:"max_luminance_at_nearest"`
		Reachable   *bool     `json:"luminance_reachable"`
		Power       *float64  `json:"min_power_W"`
		Drives      []float64 `json:"min_norm_drive"`
		Distance    *float64  `json:"distance_uv_prime"`
		Quantised   []struct {
			Target   float64 `json:"target_luminance"`
			Feasible bool
			Best     float64 `json:"best_duv_prime"`
		} `json:"quantised_8bit"`
	}
}

// question is a vector as a line of a batch.
func (v *mixVector) question(t *testing.T, id string, lum float64, more string) string {
	t.Helper()
	emitters := []any{}
	for _, e := range v.Emitters {
		emitters = append(emitters, object{{"name", e.Name}, {"x", e.X}, {"y", e.Y}, {"Y", e.Flux}, {"watts", e.Watts}})
	}
	target := object{{"cct", v.Target.CCT}, {"duv", v.Target.Duv}}
	if v.Target.XY != nil {
		target = object{{"x", v.Target.XY[0]}, {"y", v.Target.XY[1]}}
	}
	b, err := json.Marshal(object{{"id", id}, {"emitters", emitters}, {"target", target}, {"Y", lum}})
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSuffix(string(b), "}") + more + "}"
}

func TestMixBatchAgainstVectors(t *testing.T) {
	b, err := os.ReadFile(filepath.Join("..", "..", "testdata", "mix", "mix_problems.json"))
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Problems []mixVector }
	if err := json.Unmarshal(b, &file); err != nil {
		t.Fatal(err)
	}
	type reply struct {
		ID        string
		InGamut   bool `json:"in_gamut"`
		Reachable bool
		Drives    map[string]float64
		Predicted struct{ X float64 }
		DeltaUV   float64 `json:"delta_uv"`
		MaxY      float64 `json:"max_Y"`
		Watts     float64
		Error     string
	}
	var lines []string
	check := map[string]func(r *reply){}
	ask := func(v *mixVector, what string, lum float64, more string, answer func(r *reply)) {
		id := v.ID + " " + what
		lines = append(lines, v.question(t, id, lum, more))
		check[id] = answer
	}
	for i := range file.Problems {
		v := &file.Problems[i]
		x := &v.Expect
		lum := v.Luminance
		if lum == 0 && x.NearestMaxY != nil { // out of gamut the file asks for no luminance; half of what there is
			lum = *x.NearestMaxY / 2
		}
		ask(v, "even", lum, "", func(r *reply) {
			if r.InGamut != x.InGamut {
				t.Errorf("%s (%s): in_gamut %v, want %v", r.ID, v.Category, r.InGamut, x.InGamut)
			}
			if x.Distance != nil && !x.InGamut && !near(r.DeltaUV, *x.Distance, vectorUV) {
				t.Errorf("%s: delta_uv %v, want %v", r.ID, r.DeltaUV, *x.Distance)
			}
			if want := x.MaxY; want != nil && x.InGamut && !near(r.MaxY, *want, vectorMaxY**want) {
				t.Errorf("%s: max_Y %v, want %v", r.ID, r.MaxY, *want)
			}
			if want := x.NearestMaxY; want != nil && !near(r.MaxY, *want, vectorMaxY**want) {
				t.Errorf("%s: max_Y %v, want %v", r.ID, r.MaxY, *want)
			}
			if x.Reachable != nil && r.Reachable != *x.Reachable {
				t.Errorf("%s: reachable %v, want %v", r.ID, r.Reachable, *x.Reachable)
			}
			for j, want := range x.Drives {
				if got := r.Drives[v.Emitters[j].Name]; !near(got, want, vectorDrive) {
					t.Errorf("%s: drive %s %v, want %v", r.ID, v.Emitters[j].Name, got, want)
				}
			}
		})
		if x.Power != nil {
			ask(v, "power", v.Luminance, `,"prefer":"power"`, func(r *reply) {
				if !near(r.Watts, *x.Power, vectorPower**x.Power) {
					t.Errorf("%s: %v W, want %v", r.ID, r.Watts, *x.Power)
				}
			})
		}
		for _, q := range x.Quantised {
			if !q.Feasible || len(v.Emitters) > 4 { // exact to four emitters
				continue
			}
			ask(v, fmt.Sprint("8 bit at ", q.Target), q.Target, `,"bits":8`, func(r *reply) {
				if !near(r.DeltaUV, q.Best, vectorUV) {
					t.Errorf("%s: delta_uv %v, want %v", r.ID, r.DeltaUV, q.Best)
				}
			})
		}
	}
	answers, stderr, status := batch(t, "mix", strings.Join(lines, "\n"))
	if status != statusDone || len(answers) != len(lines) {
		t.Fatalf("status %d, %d answers to %d problems\n%s", status, len(answers), len(lines), stderr)
	}
	for _, line := range answers {
		var r reply
		if err := json.Unmarshal([]byte(line), &r); err != nil || r.Error != "" {
			t.Fatalf("%v: %s", err, line)
		}
		check[r.ID](&r)
	}
}

// The CCT and Duv vectors of testdata/colour (CIE 1931 observer at 5 nm; its
// README says how they were worked out).
func TestColourBatchAgainstVectors(t *testing.T) {
	f, err := os.Open(filepath.Join("..", "..", "testdata", "colour", "colour_cct.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 100 {
		t.Fatalf("%d vectors, %v", len(rows), err)
	}
	var in strings.Builder
	for _, row := range rows[1:] {
		fmt.Fprintf(&in, "%s,%s\n", row[0], row[1])
	}
	lines, stderr, status := batch(t, "colour", in.String())
	if status != statusDone || len(lines) != len(rows) {
		t.Fatalf("status %d, %d answers to %d rows\n%s", status, len(lines), len(rows), stderr)
	}
	number := func(text string) float64 {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for i, row := range rows[1:] {
		got := strings.Split(lines[i+1], ",")
		kelvin, duv := number(row[2]), number(row[3])
		if !near(1e6/number(got[2]), 1e6/kelvin, vectorMired) || !near(number(got[3]), duv, vectorDuv) {
			t.Errorf("%s,%s: %s, want %s K, %s", row[0], row[1], lines[i+1], row[2], row[3])
		}
	}
}
