package main

import (
	"errors"
	"fmt"
	"slices"

	"limn/fixtures"
	"limn/fixtures/quantity"
	"limn/profiles/measure"
)

// quick asks for one reading of each light.
func (m *measuring) quick(chosen []int) ([]*lightResult, error) {
	if m.readings != "" {
		bySource, err := m.fromFile(chosen)
		if err != nil {
			return nil, err
		}
		return m.judgeQuick(chosen, bySource)
	}
	j, err := openAnswers(m.dir, m.mode, m.std)
	if err != nil {
		return nil, err
	}
	m.book = j
	note(m.std.Err, "Each light alone, all of it at full, the meter at the aim point facing it. Write lux, and the colour if the meter tells it: 1850 lx 5480 K tint +0.002. back, skip and quit do what they say; every answer is kept.")
	if err := m.askQuick(chosen, j); err != nil {
		return nil, err
	}
	bySource := m.kept(chosen, j)
	// A slip that shows is asked for again, once; what is confirmed then stands.
	if again := measure.Suspect(m.expected(chosen, bySource)); len(again) > 0 {
		var which []int
		for _, f := range again {
			if f.Fault {
				note(m.std.Err, "%s", f)
				for _, name := range f.Sources {
					which = append(which, m.shoot.Rig.Index(name))
				}
			}
		}
		slices.Sort(which)
		if which = slices.Compact(which); len(which) > 0 {
			if err := m.askQuick(which, j); err != nil {
				return nil, err
			}
			bySource = m.kept(chosen, j)
			m.confirmed = true
		}
	}
	return m.judgeQuick(chosen, bySource)
}

// askQuick asks for one reading of each of these lights.
func (m *measuring) askQuick(which []int, j *answerBook) error {
	for k := 0; k < len(which); k++ {
		name := m.shoot.Rig.Sources[which[k]].Name
		step := measure.Step{Source: name, Control: measure.Whole, Level: 1}
		if err := m.show(step); err != nil {
			return err
		}
		ready := ""
		if old := j.find(name, 0); old != nil {
			ready = readingText(old)
		}
		word, err := m.askReading(j, 0, step, ready, "%s alone at full: lux", name)
		if err != nil {
			return err
		}
		if word == wordBack && k > 0 {
			k -= 2
		} else if word == wordBack {
			k--
		}
	}
	return nil
}

// Words in place of a reading.
const (
	wordBack = "back"
	wordSkip = "skip"
)

// askReading asks for one reading until it can be read, and keeps it. It returns the
// word typed in its place, if it was one.
func (m *measuring) askReading(j *answerBook, number int, step measure.Step, ready, format string, args ...any) (word string, err error) {
	for {
		text, err := m.ask.ask(ready, format, args...)
		if err != nil {
			return "", err
		}
		switch {
		case text == wordBack, text == wordSkip:
			return text, nil
		case text == ready && ready != "":
			return "", nil
		}
		a, err := measure.ParseAnswer(text)
		if err != nil {
			note(m.std.Err, "%v", err)
			continue
		}
		m.bare[step.Source] = a.Bare
		q := m.reading(step, a, fixtures.Origin{})
		if m.lit >= 0 {
			q.After = m.lit + m.clock().Sub(m.now).Seconds()
		}
		return "", j.keep(number, q)
	}
}

// readingText is a reading as it is typed.
func readingText(q *measure.Reading) string {
	text := plainNumber(q.Lux) + " lx"
	if q.XY.Y > 0 {
		if w, ok := q.XY.White(); ok {
			return text + " " + w.String()
		}
		text += fmt.Sprintf(" xy %.4f %.4f", q.XY.X, q.XY.Y)
	}
	return text
}

// kept are the answers by source.
func (m *measuring) kept(chosen []int, j *answerBook) map[int][]measure.Reading {
	out := map[int][]measure.Reading{}
	for _, i := range chosen {
		for k := range j.rows {
			if r := &j.rows[k]; r.Source == m.shoot.Rig.Sources[i].Name {
				out[i] = append(out[i], r.Reading)
			}
		}
	}
	return out
}

// expected holds what was read against what was known.
func (m *measuring) expected(chosen []int, bySource map[int][]measure.Reading) []measure.Expected {
	var lights []measure.Expected
	for _, i := range chosen {
		s := &m.shoot.Rig.Sources[i]
		for _, q := range bySource[i] {
			if q.Control == measure.Whole && q.Level == 1 {
				lights = append(lights, measure.Expected{Source: s.Name, Lux: q.Lux, Bare: m.bare[s.Name], Known: s.Full, HasColour: q.XY.Y > 0, SourceLine: q})
				break
			}
		}
	}
	return lights
}

// judgeQuick makes results of one reading each.
func (m *measuring) judgeQuick(chosen []int, bySource map[int][]measure.Reading) ([]*lightResult, error) {
	fs := measure.Suspect(m.expected(chosen, bySource))
	for k := range fs {
		if fs[k].Fault && m.confirmed {
			fs[k].Fault = false // asked twice and answered so
		}
	}
	if sayFindings(m.std, fs) > 0 {
		return nil, m.faulty()
	}
	var results []*lightResult
	for _, i := range chosen {
		readings := bySource[i]
		if len(readings) == 0 {
			continue
		}
		s := &m.shoot.Rig.Sources[i]
		if s.Hand {
			results = append(results, &lightResult{source: i, full: readings[len(readings)-1].Lux})
			continue
		}
		series := m.series(i, measure.MeterTerms())
		series.OwnDark = true // one reading of a bright light: the room hardly counts
		series.Readings = readings
		r, err := series.Solve()
		if err != nil {
			return nil, solveFailure(s.Name, err)
		}
		results = append(results, &lightResult{source: i, result: r})
	}
	return results, nil
}

// faulty ends a run whose readings cannot be right.
func (m *measuring) faulty() error {
	hint := "correct it and run the same command again"
	if m.book != nil {
		hint = fmt.Sprintf("run the same command again: every answer is kept in %s and offered again; back goes to the one before", m.book.path)
	}
	return failuref(statusFiles, hint, "the readings cannot be right; no calibration was written")
}

func solveFailure(source string, err error) error {
	if errors.Is(err, measure.ErrNothing) {
		return failuref(statusFailed, "give its readings", "%s: %v", source, err)
	}
	return failuref(statusFailed, "", "%s: %v", source, err)
}

// luxText is lux as a file has them.
func luxText(lux float64) string { return quantity.Illuminance{}.With(lux).String() }
