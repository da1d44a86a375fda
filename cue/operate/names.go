package operate

import (
	"fmt"
	"slices"
	"strings"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/nearest"
)

// blanks are what may stand between words: a space that does not break a line
// comes with text copied from elsewhere.
const blanks = " \t\r\n\u00a0"

// names are those a command may call.
type names struct {
	cues, angles, looks, sequences []string

	lightSources []string // sources that give light
	lights       []string // those, groups, and roles that a source has and no name takes
}

func namesOf(s *cue.Shoot) *names {
	n := &names{cues: s.CueNames()}
	for i := range s.Angles {
		n.angles = append(n.angles, s.Angles[i].Name)
	}
	for i := range s.Looks {
		n.looks = append(n.looks, s.Looks[i].Name)
	}
	for i := range s.Sequences {
		n.sequences = append(n.sequences, s.Sequences[i].Name)
	}
	for i := range s.Rig.Sources {
		if lights(&s.Rig.Sources[i]) {
			n.lightSources = append(n.lightSources, s.Rig.Sources[i].Name)
		}
	}
	n.lights = slices.Clone(n.lightSources)
	for i := range s.Groups {
		n.lights = append(n.lights, s.Groups[i].Name)
	}
	for i := range s.Rig.Sources {
		role := string(s.Rig.Sources[i].Role)
		if role != "" && lights(&s.Rig.Sources[i]) && !containsFold(n.lights, role) {
			n.lights = append(n.lights, role)
		}
	}
	return n
}

// lights says whether a source gives light; a motor does not.
func lights(s *fixtures.Source) bool { return s.Hand || s.Profile == nil || s.Profile.HasLight() }

// make counts the names that a command will have made once it was given, so that
// later ones of a program may call them.
func (n *names) make(c Command) {
	switch c.Verb {
	case KeepAs, NewAngle, Mirror:
		if c.Name != "" {
			n.cues = append(n.cues, c.Name)
		}
	}
}

// members are the sources that a name of a trim stands for, by their index: a
// source, a group or a role, in this order.
func members(s *cue.Shoot, of string) []int {
	var out []int
	for i := range s.Rig.Sources {
		switch {
		case !lights(&s.Rig.Sources[i]):
		case of == "":
			out = append(out, i)
		case s.Rig.Sources[i].Name == of:
			return []int{i}
		}
	}
	if of == "" {
		return out
	}
	for i := range s.Groups {
		if s.Groups[i].Name == of {
			return s.Groups[i].Members
		}
	}
	for i := range s.Rig.Sources {
		if string(s.Rig.Sources[i].Role) == of && lights(&s.Rig.Sources[i]) {
			out = append(out, i)
		}
	}
	return out
}

// find looks a name up: exact, else in any case if only one fits. cure is what
// to do where it is not found.
func find(name string, names []string) (found, cure string) {
	var alike []string
	for _, n := range names {
		if n == name {
			return n, ""
		}
		if strings.EqualFold(n, name) {
			alike = append(alike, n)
		}
	}
	switch len(alike) {
	case 0:
		return "", nearest.DidYouMean(name, names)
	case 1:
		return alike[0], ""
	}
	return "", fmt.Sprintf("mind the case: %q or %q", alike[0], alike[1])
}

// quote puts a name in double quotes, with a backslash before a quote or a
// backslash in it.
func quote(name string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(name) + `"`
}

// unquote reads the quoted text that s begins with, and says how many bytes it
// took; not ok where it does not end.
func unquote(s string) (text string, n int, ok bool) {
	var b strings.Builder
	for i := 1; i < len(s); i++ {
		switch c := s[i]; {
		case c == '"':
			return b.String(), i + 1, true
		case c == '\\' && i+1 < len(s):
			i++
			b.WriteByte(s[i])
		default:
			b.WriteByte(c)
		}
	}
	return "", len(s), false
}
