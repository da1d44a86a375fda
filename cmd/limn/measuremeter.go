package main

import (
	"math"
	"strings"

	"limn/profiles/measure"
)

// meter asks for each emitter at each level, or reads them from a file.
func (m *measuring) meter(chosen []int) ([]*lightResult, error) {
	read := m.askMeter
	if m.readings != "" {
		read = m.fromFile
	}
	bySource, err := read(chosen)
	if err != nil {
		return nil, err
	}
	return m.solve(chosen, bySource, measure.MeterTerms(), "")
}

// solve makes results of readings by source, and ends the run where they cannot be
// right.
func (m *measuring) solve(chosen []int, bySource map[int][]measure.Reading, terms measure.Terms, how string) ([]*lightResult, error) {
	var results []*lightResult
	faults := 0
	for _, i := range chosen {
		readings := bySource[i]
		if len(readings) == 0 {
			continue
		}
		series := m.series(i, terms)
		series.Readings, series.Relative = readings, m.relative
		r, err := series.Solve()
		if err != nil {
			return nil, solveFailure(series.Source, err)
		}
		faults += sayFindings(m.std, r.Findings)
		results = append(results, &lightResult{source: i, result: r, how: how})
	}
	if faults > 0 {
		return nil, m.faulty()
	}
	return results, nil
}

// askMeter asks for the readings of one light after another. What was answered before
// stands; the next question is the first without an answer.
func (m *measuring) askMeter(chosen []int) (map[int][]measure.Reading, error) {
	j, err := openAnswers(m.dir, m.mode, m.std)
	if err != nil {
		return nil, err
	}
	m.book = j
	for _, i := range chosen {
		name := m.shoot.Rig.Sources[i].Name
		steps := m.steps(i)
		k, err := m.resume(j, name, steps)
		if err != nil {
			return nil, err
		}
		note(m.std.Err, "%s: %d readings. Leave the meter where it is, on its mark. back, skip and quit do what they say; every answer is kept.", name, len(steps))
		for k < len(steps) {
			step := steps[k]
			if err := m.show(step); err != nil {
				return nil, err
			}
			ready := ""
			if old := j.find(name, k); old != nil {
				ready = readingText(old)
			}
			word, err := m.askReading(j, k, step, ready, "%d of %d, %s: lux", k+1, len(steps), step)
			if err != nil {
				return nil, err
			}
			if word == wordBack {
				k = max(0, k-1)
				continue
			}
			k++
		}
	}
	return m.kept(chosen, j), nil
}

// resume says where to go on with a light of which something was answered.
func (m *measuring) resume(j *answerBook, name string, steps []measure.Step) (int, error) {
	next, answered := 0, 0
	for k := range steps {
		if old := j.find(name, k); old != nil {
			answered++
			next = k + 1
			const sameLevel = 1e-9 // the journal has its level in per cent
			if old.Control == steps[k].Control && math.Abs(old.Level-steps[k].Level) < sameLevel {
				old.Level = steps[k].Level
			} else {
				note(m.std.Err, "%s: the answers kept are of another plan (--levels %d?) and are set aside", name, m.levels)
				return 0, j.forget(name)
			}
		}
	}
	if answered == 0 {
		return 0, nil
	}
	text, err := m.ask.ask("go on", "%s: %d of %d readings are kept. Go on, or begin again", name, answered, len(steps))
	if err != nil {
		return 0, err
	}
	if strings.HasPrefix(text, "begin") || strings.HasPrefix(text, "again") {
		return 0, j.forget(name)
	}
	return next, nil
}

// handLamp is a measure.Lamp of hands: the question itself says what to set. A lamp
// over the wire takes its place where a run drives the lights.
type handLamp struct{}

func (handLamp) Set(string, string, float64) error { return nil }

var _ measure.Lamp = handLamp{}
