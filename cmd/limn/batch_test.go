package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
)

// batch runs a batch on text and gives its lines and exit status.
func batch(t *testing.T, command, text string) (lines []string, stderr string, status int) {
	t.Helper()
	var out, errs bytes.Buffer
	status = run(t.Context(), []string{command, "--batch", "-"}, stdio{In: strings.NewReader(text), Out: &out, Err: &errs})
	return strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n"), errs.String(), status
}

const twoEmitters = `"emitters":[{"name":"warm","x":0.4592,"y":0.4089,"Y":300,"watts":18},{"name":"cool","x":0.3115,"y":0.3213,"Y":220,"watts":24}]`

func TestMixBatchAnswersEveryLine(t *testing.T) {
	lines, _, status := batch(t, "mix", strings.Join([]string{
		`{"id":"exact",` + twoEmitters + `,"target":{"x":0.4592,"y":0.4089},"Y":150}`,
		`{"id":7,` + twoEmitters + `,"target":{"cct":4300,"duv":0.001},"Y":100,"bits":8,"prefer":"power"}`,
		``,
		`{"id":"dark",` + twoEmitters + `,"target":{"x":0.4,"y":0.4},"Y":0,"bits":16}`,
		`{"id":"too much",` + twoEmitters + `,"target":{"x":0.4592,"y":0.4089},"Y":1000}`,
		`{"id":"note",` + twoEmitters + `,"target":{"x":0.4,"y":0.4},"Y":1,"remark":"left alone"}`,
		`{"id":"bad y",` + twoEmitters + `,"target":{"x":0.4,"y":0},"Y":1}`,
		`nonsense`,
	}, "\n"))
	if status != statusFailed {
		t.Errorf("status %d, want %d", status, statusFailed)
	}
	if len(lines) != 7 {
		t.Fatalf("%d answers to 7 problems:\n%s", len(lines), strings.Join(lines, "\n"))
	}
	type reply struct {
		Version   int                `json:"version"`
		ID        any                `json:"id"`
		InGamut   bool               `json:"in_gamut"`
		Reachable bool               `json:"reachable"`
		Drives    map[string]float64 `json:"drives"`
		Slots     map[string]int     `json:"slots"`
		Predicted map[string]*float64
		DeltaUV   *float64 `json:"delta_uv"`
		MaxY      float64  `json:"max_Y"`
		Watts     float64  `json:"watts"`
		Error     string   `json:"error"`
	}
	replies := make([]reply, len(lines))
	for i, line := range lines {
		if err := json.Unmarshal([]byte(line), &replies[i]); err != nil {
			t.Fatalf("answer %d: %v: %s", i, err, line)
		}
		if replies[i].Version != 1 {
			t.Errorf("answer %d has version %d", i, replies[i].Version)
		}
	}
	if r := replies[0]; r.ID != "exact" || r.Slots != nil || r.Drives["warm"] != 0.5 || r.Drives["cool"] != 0 ||
		*r.Predicted["Y"] != 150 || *r.DeltaUV != 0 || r.MaxY != 300 || r.Watts != 9 || !r.Reachable {
		t.Errorf("half of one emitter: %s", lines[0])
	}
	if r := replies[1]; r.ID != 7.0 || len(r.Slots) != 2 || r.Slots["warm"] < 1 || r.Slots["warm"] > 255 {
		t.Errorf("8 bit: %s", lines[1])
	}
	if r := replies[2]; *r.Predicted["Y"] != 0 || r.Predicted["cct"] != nil || r.DeltaUV != nil || r.Slots["warm"] != 0 || r.MaxY <= 0 {
		t.Errorf("dark: %s", lines[2])
	}
	if r := replies[3]; r.Reachable || r.MaxY != 300 || *r.Predicted["Y"] != 300 {
		t.Errorf("too much: %s", lines[3])
	}
	if r := replies[4]; r.Error != "" {
		t.Errorf("a caller's own note: %s", lines[4])
	}
	for i, id := range map[int]any{5: "bad y", 6: nil} {
		if r := replies[i]; r.ID != id || r.Error == "" {
			t.Errorf("bad line: %s", lines[i])
		}
	}
}

func TestMixBatchRefuses(t *testing.T) {
	for name, c := range map[string]struct{ line, says string }{
		"slip":         {`{"emiters":[],"target":{"x":0.3,"y":0.3},"Y":1}`, `"emitters" is missing`},
		"slip beside":  {`{` + twoEmitters + `,"target":{"x":0.3,"y":0.3},"Y":1,"bit":8}`, `did you mean "bits"?`},
		"no target":    {`{` + twoEmitters + `,"Y":1}`, `"target" is missing`},
		"two targets":  {`{` + twoEmitters + `,"target":{"x":0.3,"y":0.3,"cct":4000},"Y":1}`, "either"},
		"cold":         {`{` + twoEmitters + `,"target":{"cct":400},"Y":1}`, "400 K is outside"},
		"tint":         {`{` + twoEmitters + `,"target":{"cct":4000,"duv":0.2},"Y":1}`, "Duv"},
		"no Y":         {`{` + twoEmitters + `,"target":{"x":0.3,"y":0.3}}`, `"Y" is missing`},
		"small y":      {`{` + twoEmitters + `,"target":{"x":0.3,"y":0.3},"y":1}`, `"Y" is missing`},
		"negative Y":   {`{` + twoEmitters + `,"target":{"x":0.3,"y":0.3},"Y":-1}`, "below 0"},
		"bits":         {`{` + twoEmitters + `,"target":{"x":0.3,"y":0.3},"Y":1,"bits":7}`, "not 0, 8 or 16"},
		"half bits":    {`{` + twoEmitters + `,"target":{"x":0.3,"y":0.3},"Y":1,"bits":8.5}`, "not 0, 8 or 16"},
		"goal":         {`{` + twoEmitters + `,"target":{"x":0.3,"y":0.3},"Y":1,"prefer":"evne"}`, "evne"},
		"spectrum":     {`{` + twoEmitters + `,"target":{"x":0.3,"y":0.3},"Y":1,"prefer":"spectrum"}`, "spectra"},
		"text":         {`{` + twoEmitters + `,"target":{"x":"a","y":0.3},"Y":1}`, "not a number"},
		"huge":         {`{` + twoEmitters + `,"target":{"x":1e999,"y":0.3},"Y":1}`, "not a number"},
		"no emitters":  {`{"emitters":[],"target":{"x":0.3,"y":0.3},"Y":1}`, "0 emitters"},
		"no name":      {`{"emitters":[{"x":0.3,"y":0.3,"Y":1}],"target":{"x":0.3,"y":0.3},"Y":1}`, "no name"},
		"twice":        {`{"emitters":[{"name":"a","x":0.3,"y":0.3,"Y":1},{"name":"a","x":0.3,"y":0.3,"Y":1}],"target":{"x":0.3,"y":0.3},"Y":1}`, `named "a"`},
		"no light":     {`{"emitters":[{"name":"a","x":0.3,"y":0.3,"Y":0}],"target":{"x":0.3,"y":0.3},"Y":1}`, ""},
		"a list":       {`[]`, "no JSON object"},
		"null":         {`null`, "no JSON object"},
		"not an array": {`{"emitters":{},"target":{"x":0.3,"y":0.3},"Y":1}`, "no list"},
	} {
		lines, _, status := batch(t, "mix", c.line+"\n")
		var r struct {
			Error string `json:"error"`
		}
		if err := json.Unmarshal([]byte(lines[0]), &r); err != nil || status != statusFailed || r.Error == "" || !strings.Contains(r.Error, c.says) {
			t.Errorf("%s: status %d, %s; want an error with %q", name, status, lines[0], c.says)
		}
	}
}

func TestColourBatch(t *testing.T) {
	// Illuminants A and D65 of CIE 15:2018, table 3 (chromaticities), with the
	// colour temperatures usually given for them: 2856 K, and 6503 K with Duv 0.0032.
	lines, stderr, status := batch(t, "colour", "x,y\n0.44758,0.40745\n 0.31272 , 0.32903 \n0.7,0.26\n")
	if status != statusDone || len(lines) != 4 || lines[0] != "x,y,cct,duv" {
		t.Fatalf("status %d: %q %s", status, lines, stderr)
	}
	if !strings.HasPrefix(lines[1], "0.44758,0.40745,285") {
		t.Errorf("illuminant A: %s", lines[1])
	}
	if !strings.HasPrefix(lines[2], "0.31272,0.32903,650") || !strings.Contains(lines[2], ",0.0032") {
		t.Errorf("illuminant D65: %s", lines[2])
	}
	if lines[3] != "0.7,0.26,," || !strings.Contains(stderr, "no colour temperature") {
		t.Errorf("a red: %s; %s", lines[3], stderr)
	}
	lines, stderr, status = batch(t, "colour", "0.3,0.3\nx,y\n0.3\n0.3,0\n0.3,0.3,0.3\n")
	if status != statusFailed || len(lines) != 6 || lines[2] != ",,," || !strings.Contains(stderr, "-:2: ") || !strings.Contains(stderr, "-:5: ") {
		t.Errorf("bad lines: status %d, %q, %s", status, lines, stderr)
	}
}

// What a meter's program writes: a mark at the start, and columns of its own.
func TestColourBatchOfAMeter(t *testing.T) {
	lines, stderr, status := batch(t, "colour", "\ufeffname,\"x\",Y,y\r\nlamp,0.44758,900,0.40745\r\nlamp,0.3\r\n")
	if status != statusFailed || len(lines) != 3 || !strings.HasPrefix(lines[1], "0.44758,0.40745,285") || lines[2] != ",,," {
		t.Errorf("status %d: %q %s", status, lines, stderr)
	}
}

func FuzzMixLine(f *testing.F) {
	f.Add([]byte(`{"id":1,` + twoEmitters + `,"target":{"cct":4300,"duv":0.001},"Y":100,"bits":8}`))
	f.Add([]byte(`{` + twoEmitters + `,"target":{"x":0.3,"y":0.3},"Y":1e-30,"bits":16,"prefer":"power"}`))
	f.Add([]byte(`{"emitters":[{"name":"\u0000","x":0,"y":1,"Y":1e308}],"target":{"x":0,"y":1},"Y":1e308}`))
	f.Fuzz(func(t *testing.T, line []byte) {
		reply, ok := mixLine(line, nil)
		b, err := json.Marshal(reply)
		if err != nil {
			t.Fatalf("answer is no JSON: %v", err)
		}
		var r struct{ Error string }
		if err := json.Unmarshal(b, &r); err != nil || ok != (r.Error == "") {
			t.Fatalf("ok is %v, answer %s (%v)", ok, b, err)
		}
	})
}

func FuzzColourRow(f *testing.F) {
	f.Add("0.3127,0.3290")
	f.Add("1e-300,1e-300")
	f.Add("NaN,Inf")
	f.Add(",")
	f.Fuzz(func(t *testing.T, line string) {
		row, _, err := colourRow(line, columnsXY{0, 1, 2})
		if err == nil && strings.Count(row, ",") != 3 {
			t.Fatalf("%q became %q", line, row)
		}
	})
}

func FuzzEmitterFlag(f *testing.F) {
	f.Add("warm=0.46,0.41,300,18")
	f.Add("=,,")
	f.Fuzz(func(t *testing.T, text string) {
		if _, err := parseEmitterFlag(text); err == nil && !strings.Contains(text, "=") {
			t.Fatalf("%q was taken", text)
		}
	})
}
