package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"

	"limn/fixtures/nearest"

	"limn/fixtures/colour"
	"limn/fixtures/mix"
)

// problem is one question to the solver: emitters by hand, a target and how
// much of it, and how drives are written.
type problem struct {
	ID       json.RawMessage // as given, null if not
	Emitters []emitter
	Target   colour.XY
	Y        float64 // in the emitters' unit
	Bits     int     // 0 (exact), 8 or 16
	Prefer   mix.Goal
}

type emitter struct {
	Name  string
	XY    colour.XY
	Y     float64 // luminance at full drive, any unit, the same for all
	Watts float64 // at full drive
}

// fields reads a JSON object member by member. The standard decoder takes "y"
// for "Y", and here the two mean different things.
type fields struct {
	m     map[string]json.RawMessage
	known []string
}

func readFields(raw []byte, what string) (*fields, error) {
	var m map[string]json.RawMessage
	if err := json.Unmarshal(raw, &m); err != nil || m == nil {
		return nil, fmt.Errorf("%s is no JSON object", what)
	}
	return &fields{m: m}, nil
}

func (f *fields) get(key string) (json.RawMessage, bool) {
	f.known = append(f.known, key)
	v, ok := f.m[key]
	return v, ok && !bytes.Equal(v, []byte("null"))
}

// number reads a number; absent gives fallback, or an error if that is NaN.
func (f *fields) number(key string, fallback float64) (float64, error) {
	raw, ok := f.get(key)
	if !ok {
		if math.IsNaN(fallback) {
			return 0, fmt.Errorf("%q is missing", key)
		}
		return fallback, nil
	}
	var v float64
	if err := json.Unmarshal(raw, &v); err != nil {
		return 0, fmt.Errorf("%q is %s, not a number", key, raw)
	}
	return v, nil
}

func (f *fields) text(key string) (string, error) {
	raw, ok := f.get(key)
	if !ok {
		return "", nil
	}
	var v string
	if err := json.Unmarshal(raw, &v); err != nil {
		return "", fmt.Errorf("%q is %s, not a text in quotes", key, raw)
	}
	return v, nil
}

// slips refuses a key that looks like a slip of a known one; other keys are
// the caller's own notes and are left alone.
func (f *fields) slips() error {
	for key := range f.m {
		if slices.Contains(f.known, key) {
			continue
		}
		if near := nearest.Name(key, f.known); near != "" {
			return fmt.Errorf("unknown key %q; did you mean %q?", key, near)
		}
	}
	return nil
}

// parseProblem reads one line of a batch. The id comes back even with an error,
// so that the answer can carry it.
func parseProblem(line []byte) (p problem, err error) {
	p.ID = json.RawMessage("null")
	f, err := readFields(line, "the line")
	if err != nil {
		return p, err
	}
	if id, ok := f.get("id"); ok {
		p.ID = id
	}
	raw, ok := f.get("emitters")
	var list []json.RawMessage
	if !ok {
		return p, errors.New(`"emitters" is missing`)
	}
	if err := json.Unmarshal(raw, &list); err != nil {
		return p, errors.New(`"emitters" is no list`)
	}
	for i, raw := range list {
		e, err := parseEmitter(raw)
		if err != nil {
			return p, fmt.Errorf("emitter %d: %w", i+1, err)
		}
		p.Emitters = append(p.Emitters, e)
	}
	if raw, ok = f.get("target"); !ok {
		return p, errors.New(`"target" is missing`)
	}
	if p.Target, err = parseTarget(raw); err != nil {
		return p, fmt.Errorf("target: %w", err)
	}
	if p.Y, err = f.number("Y", none); err != nil {
		return p, err
	}
	bits, err := f.number("bits", 0)
	if err != nil {
		return p, err
	}
	p.Bits = int(bits)
	if float64(p.Bits) != bits {
		return p, fmt.Errorf(`"bits" is %g, not 0, 8 or 16`, bits)
	}
	prefer, err := f.text("prefer")
	if err != nil {
		return p, err
	}
	if prefer != "" {
		if p.Prefer, err = parsePrefer(prefer); err != nil {
			return p, err
		}
	}
	if err := f.slips(); err != nil {
		return p, err
	}
	return p, p.check()
}

// parsePrefer reads a goal; a spectrum cannot be asked of emitters known by xy only.
func parsePrefer(text string) (mix.Goal, error) {
	g, err := mix.ParseGoal(text)
	if err == nil && g == mix.Spectrum {
		return g, errors.New(`prefer "spectrum" needs emitters with spectra; write "even" or "power"`)
	}
	return g, err
}

func parseEmitter(raw []byte) (e emitter, err error) {
	f, err := readFields(raw, "it")
	if err != nil {
		return e, err
	}
	if e.Name, err = f.text("name"); err != nil {
		return e, err
	}
	for _, n := range []struct {
		key      string
		into     *float64
		fallback float64
	}{{"x", &e.XY.X, none}, {"y", &e.XY.Y, none}, {"Y", &e.Y, none}, {"watts", &e.Watts, 0}} {
		if *n.into, err = f.number(n.key, n.fallback); err != nil {
			return e, err
		}
	}
	return e, f.slips()
}

// parseTarget reads {"x","y"} or {"cct","duv"}.
func parseTarget(raw []byte) (c colour.XY, err error) {
	f, err := readFields(raw, "it")
	if err != nil {
		return c, err
	}
	_, byXY := f.get("x")
	_, byWhite := f.get("cct")
	switch {
	case byXY == byWhite:
		return c, errors.New(`give either "x" and "y", or "cct" and "duv"`)
	case byXY:
		if c.X, err = f.number("x", none); err != nil {
			return c, err
		}
		if c.Y, err = f.number("y", none); err != nil {
			return c, err
		}
		f.get("Y") // the wanted luminance stands beside the target, not in it
		return c, errors.Join(f.slips(), checkXY(c))
	}
	kelvin, err := f.number("cct", none)
	if err != nil {
		return c, err
	}
	duv, err := f.number("duv", 0)
	if err != nil {
		return c, err
	}
	if err := f.slips(); err != nil {
		return c, err
	}
	return whiteXY(kelvin, duv)
}

// check refuses what the solver has no answer to.
func (p *problem) check() error {
	if n := len(p.Emitters); n < 1 || n > mix.MaxEmitters {
		return fmt.Errorf("%d emitters where 1 to %d are possible", n, mix.MaxEmitters)
	}
	seen := map[string]bool{}
	for i, e := range p.Emitters {
		switch {
		case e.Name == "":
			return fmt.Errorf("emitter %d has no name", i+1)
		case seen[e.Name]:
			return fmt.Errorf("two emitters are named %q", e.Name)
		case !(e.Y >= 0):
			return fmt.Errorf("emitter %q: Y is %g, below 0", e.Name, e.Y)
		case !(e.Watts >= 0):
			return fmt.Errorf("emitter %q: watts is %g, below 0", e.Name, e.Watts)
		}
		seen[e.Name] = true
		if err := checkXY(e.XY); err != nil {
			return fmt.Errorf("emitter %q: %w", e.Name, err)
		}
	}
	if p.Bits != 0 && p.Bits != 8 && p.Bits != 16 {
		return fmt.Errorf(`"bits" is %d, not 0, 8 or 16`, p.Bits)
	}
	if !(p.Y >= 0) {
		return fmt.Errorf("the wanted Y is %g, below 0", p.Y)
	}
	return nil
}
