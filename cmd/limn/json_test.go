package main

import (
	"encoding/json"
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

func TestFixedDecimals(t *testing.T) {
	for _, c := range []struct {
		v    float64
		n    int
		want string
	}{
		{0.5, 6, "0.5"},
		{1, 6, "1"},
		{100, 0, "100"},
		{1.0 / 3, 6, "0.333333"},
		{-1e-9, 6, "0"},
		{-0.25, 6, "-0.25"},
		{math.NaN(), 6, "null"},
		{math.Inf(1), 6, "null"},
	} {
		if got := string(appendFixed(nil, c.v, c.n)); got != c.want {
			t.Errorf("%v to %d decimals is %s, want %s", c.v, c.n, got, c.want)
		}
	}
}

func TestSignificantDigits(t *testing.T) {
	for _, c := range []struct {
		v    float64
		want string
	}{
		{0, "0"},
		{math.Copysign(0, -1), "0"},
		{0.5, "0.5"},
		{0.1 + 0.2, "0.3"},
		{1.0 / 3, "0.333333333"},
		{1234.5, "1234.5"},
		{math.NaN(), "null"},
		{math.Inf(-1), "null"},
	} {
		if got := string(appendDigits(nil, c.v, 9)); got != c.want {
			t.Errorf("%v is %s, want %s", c.v, got, c.want)
		}
	}
}

// Whatever comes, the text is JSON and within half of the last place kept.
func TestNumbersAreJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64().Draw(t, "v")
		for _, text := range []string{string(appendFixed(nil, v, 6)), string(appendDigits(nil, v, 9))} {
			if !json.Valid([]byte(text)) {
				t.Fatalf("%v prints as %s, which is no JSON", v, text)
			}
		}
		if math.Abs(v) < 1e6 {
			got, err := strconv.ParseFloat(string(appendFixed(nil, v, 6)), 64)
			if err != nil || math.Abs(got-v) > 0.5e-6+math.Abs(v)*0x1p-51 {
				t.Fatalf("%v reads back as %v (%v)", v, got, err)
			}
		}
	})
}

func TestObjectKeepsItsOrder(t *testing.T) {
	b, err := json.Marshal(object{{"zebra", 1}, {"ant", object{}}, {"quo\"te", []int{}}})
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"zebra":1,"ant":{},"quo\"te":[]}`; string(b) != want {
		t.Errorf("got %s, want %s", b, want)
	}
}
