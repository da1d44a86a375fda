package files

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"limn/profiles/tomlfile"
)

// MaxName is the most characters a name may have.
const MaxName = 64

// name reads the name of something. One that does not do is reported and used
// all the same, so that nobody is told it is unknown as well; "" if there is none.
func (l *loader) name(t *tomlfile.Table, cure string) string {
	if !t.Require("name", cure) {
		return ""
	}
	name, ok := t.String("name")
	if ok {
		l.fit("name", name, t.ValuePos("name"), cure)
	}
	return name
}

// fit checks that a name (or a mark) can be listed, typed and used in a program
// of commands.
func (l *loader) fit(noun, name string, at tomlfile.Pos, cure string) {
	switch {
	case strings.TrimSpace(name) == "":
		l.ps.Error(at, "write "+cure, "the %s is empty", noun)
	case name != strings.TrimSpace(name):
		l.ps.Error(at, "write "+tomlfile.Quote(strings.TrimSpace(name)), "the %s %s begins or ends with a space", noun, tomlfile.Quote(name))
	case utf8.RuneCountInString(name) > MaxName:
		l.ps.Error(at, "write a shorter one", "the %s %s has more than %d characters", noun, tomlfile.Quote(name), MaxName)
	case strings.ContainsFunc(name, unicode.IsControl):
		l.ps.Error(at, "write letters, digits, spaces and signs", "the %s %s has a control character", noun, tomlfile.Quote(name))
	case strings.Contains(name, ";"):
		l.ps.Error(at, "leave it out", "the %s %s has a semicolon, which ends a command", noun, tomlfile.Quote(name))
	}
}

// room says whether one more fits; the first too many is reported, once.
func (l *loader) room(have, most int, what string, t *tomlfile.Table) bool {
	if have < most {
		return true
	}
	t.Keys() // none of them is unknown, they only come too late
	if l.full == nil {
		l.full = map[string]bool{}
	}
	if !l.full[what] {
		l.full[what] = true
		l.ps.Error(t.Pos(), "take some out", "more than %d %s", most, what)
	}
	return false
}
