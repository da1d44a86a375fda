package cue

import (
	"fmt"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// findings collects what is wrong or doubtful. What one entry does wrong in
// many cues (a look laid over all of them) is one finding.
type findings struct {
	list  []finding
	index map[findingKey]int
}

type finding struct {
	fixtures.Fault
	cue    string  // where it shows; "" = everywhere
	more   int     // cues beside that one
	weight float64 // how bad it is: the worst case is told
}

type findingKey struct {
	fixtures.Origin
	source int
	kind   findingKind
	cue    int       // only for what has no place
	xy     colour.XY // only for what is out of gamut
}

type findingKind uint8

const (
	beyondReach findingKind = iota
	shortOfHeld
	outOfGamut
	offWhite
	noReading
	noKey
	keyOff
	keyByKey
	noLevel
	otherPlace
)

func (f *findings) err(at fixtures.Origin, cure, format string, args ...any) {
	f.list = append(f.list, finding{Fault: fixtures.Fault{Origin: at, What: fmt.Sprintf(format, args...), Cure: cure}})
}

// missing is err for a name nobody has, or for something not written: silent
// where part of the files could not be read.
func (v *resolver) missing(at fixtures.Origin, cure, format string, args ...any) {
	if !v.shoot.Partial {
		v.findings.err(at, cure, format, args...)
	}
}

func (f *findings) warn(at fixtures.Origin, cure, format string, args ...any) {
	f.err(at, cure, format, args...)
	f.list[len(f.list)-1].Warning = true
}

// in records what entry "at" comes to in one cue; the first of several such
// cues is told, or a worse one.
func (f *findings) in(cue int, name string, kind findingKind, source int, weight float64, fault fixtures.Fault) {
	key := findingKey{Origin: fault.Origin, source: source, kind: kind, cue: -1}
	if fault.Origin == (fixtures.Origin{}) {
		key.cue = cue
	}
	f.put(key, name, weight, fault)
}

// once records what is the same for all entries of a source: one finding, where
// it shows first or worst.
func (f *findings) once(name string, kind findingKind, source int, weight float64, fault fixtures.Fault) {
	f.put(findingKey{source: source, kind: kind, cue: -1}, name, weight, fault)
	f.list[f.index[findingKey{source: source, kind: kind, cue: -1}]].more = 0
}

// colour records a colour that a source cannot make: one finding for each.
func (f *findings) colour(source int, xy colour.XY, fault fixtures.Fault) {
	f.put(findingKey{source: source, kind: outOfGamut, cue: -1, xy: xy}, "", 0, fault)
}

func (f *findings) put(key findingKey, name string, weight float64, fault fixtures.Fault) {
	if f.index == nil {
		f.index = map[findingKey]int{}
	}
	i, known := f.index[key]
	if !known {
		f.index[key] = len(f.list)
		f.list = append(f.list, finding{fault, name, 0, weight})
		return
	}
	was := &f.list[i]
	if weight > was.weight {
		was.Fault, was.cue, was.weight = fault, name, weight
	}
	was.more++
}

// faults is the list with the cues named.
func (f *findings) faults() []fixtures.Fault {
	out := make([]fixtures.Fault, len(f.list))
	for i := range f.list {
		l := &f.list[i]
		out[i] = l.Fault
		switch {
		case l.cue != "" && l.more > 1:
			out[i].What = fmt.Sprintf("in cue %q and %d more, %s", l.cue, l.more, l.What)
		case l.cue != "" && l.more == 1:
			out[i].What = fmt.Sprintf("in cue %q and another, %s", l.cue, l.What)
		case l.cue != "":
			out[i].What = fmt.Sprintf("in cue %q, %s", l.cue, l.What)
		}
	}
	return out
}
