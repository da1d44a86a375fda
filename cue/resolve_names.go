package cue

import (
	"fmt"

	"limn/fixtures/nearest"

	"limn/fixtures"
)

// checkNames indexes the names and finds those given twice. (Two sources of one
// name are for fixtures.Rig.Check to see.)
func (v *resolver) checkNames() {
	s := v.shoot
	unique := func(kind string, seen map[string]fixtures.Origin, name string, at fixtures.Origin) bool {
		first, twice := seen[name]
		if !twice {
			seen[name] = at
			return true
		}
		where := ""
		if first.File != "" {
			where = fmt.Sprintf(", the first at %s:%d", first.File, first.Line)
		}
		v.findings.err(at, "give each a name of its own", "a second %s is called %q%s", kind, name, where)
		return false
	}
	seen := map[string]fixtures.Origin{}
	for i := range s.Cues {
		if unique("cue", seen, s.Cues[i].Name, s.Cues[i].Origin) {
			v.cues[s.Cues[i].Name] = i
		}
	}
	seen = map[string]fixtures.Origin{}
	for i := range s.Looks {
		if unique("look", seen, s.Looks[i].Name, s.Looks[i].Origin) {
			v.looks[s.Looks[i].Name] = i
		}
	}
	seen = map[string]fixtures.Origin{}
	for i := range s.Angles {
		if unique("angle", seen, s.Angles[i].Name, s.Angles[i].Origin) {
			v.angles[s.Angles[i].Name] = i
		}
	}
	seen = map[string]fixtures.Origin{}
	for i := range s.Cards {
		unique("card", seen, s.Cards[i].Name, s.Cards[i].Origin)
	}
	seen = map[string]fixtures.Origin{}
	for i := range s.Sequences {
		unique("sequence", seen, s.Sequences[i].Name, s.Sequences[i].Origin)
	}
	seen = map[string]fixtures.Origin{}
	for i := range s.Outputs {
		unique("output", seen, s.Outputs[i].Name, s.Outputs[i].Origin)
	}
	seen = map[string]fixtures.Origin{} // sources and groups are named in the same places
	for i := range s.Rig.Sources {
		seen[s.Rig.Sources[i].Name] = s.Rig.Sources[i].Origin // Rig.Check sees to sources alike
	}
	for i := range s.Groups {
		unique("source or group", seen, s.Groups[i].Name, s.Groups[i].Origin)
	}
}

// indexNames is checkNames without a word: the first of each name counts.
func (v *resolver) indexNames() {
	s := v.shoot
	for i := range s.Cues {
		put(v.cues, s.Cues[i].Name, i)
	}
	for i := range s.Looks {
		put(v.looks, s.Looks[i].Name, i)
	}
	for i := range s.Angles {
		put(v.angles, s.Angles[i].Name, i)
	}
}

func put(index map[string]int, name string, i int) {
	if _, twice := index[name]; !twice {
		index[name] = i
	}
}

// checkSequences finds steps whose cue does not exist.
func (v *resolver) checkSequences() {
	for i := range v.shoot.Sequences {
		for _, step := range v.shoot.Sequences[i].Steps {
			if _, ok := v.cues[step.Cue]; !ok {
				v.missing(step.Origin, v.didYouMean("cue", step.Cue, (*Shoot).CueNames), "no cue is called %q", step.Cue)
			}
		}
	}
}

// maxNearest is how many unknown names are compared with all known ones: a file
// full of them must not take minutes to refuse.
const maxNearest = 20

// didYouMean is DidYouMean, remembered: a cue that was renamed is missed by all
// that come from it.
func (v *resolver) didYouMean(kind, text string, names func(*Shoot) []string) string {
	asked := [2]string{kind, text}
	if help, ok := v.nearest[asked]; ok {
		return help
	}
	if len(v.nearest) >= maxNearest {
		return "write the name of a " + kind + " as it stands in the files"
	}
	help := nearest.DidYouMean(text, names(v.shoot))
	v.nearest[asked] = help
	return help
}

func lookNames(s *Shoot) []string {
	names := make([]string, len(s.Looks))
	for i := range s.Looks {
		names[i] = s.Looks[i].Name
	}
	return names
}

func angleNames(s *Shoot) []string {
	names := make([]string, len(s.Angles))
	for i := range s.Angles {
		names[i] = s.Angles[i].Name
	}
	return names
}
