package operate

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"
	"unicode/utf8"

	"limn/cue"
	"limn/cue/timeline"
	"limn/fixtures"
)

// Timed is a command with its time.
type Timed struct {
	At      float64 // seconds from frame 0
	Command Command
}

// K is the frame the command acts in: the first that is not before it,
// ceil(At·44). It is computed on the shortest decimal that means At, the one
// that was written: 1.1 min is frame 2904, though no float64 of 1.1·60 need be 66.
func (t Timed) K() int64 {
	at, ok := new(big.Rat).SetString(strconv.FormatFloat(t.At, 'g', -1, 64))
	if !ok || at.Sign() < 0 { // NaN, infinities
		return 0
	}
	at.Mul(at, big.NewRat(timeline.Rate, 1))
	k := new(big.Int).Add(at.Num(), at.Denom())
	k.Sub(k, big.NewInt(1)).Quo(k, at.Denom())
	if !k.IsInt64() {
		return maxFrame
	}
	return min(k.Int64(), maxFrame)
}

// String is the command as a program has it; ParseProgram reads it back.
func (t Timed) String() string {
	return strconv.FormatFloat(t.At, 'f', -1, 64) + "s " + t.Command.String()
}

// What a program may hold.
const (
	// MaxProgram is the most bytes.
	MaxProgram = 1 << 20
	// MaxTime is the latest time of a command in seconds: a week.
	MaxTime = 7 * 24 * 60 * 60
	// MaxFaults is the most faults that are listed.
	MaxFaults = 100

	maxFrame = MaxTime * timeline.Rate
)

// Faults is everything wrong with a program, in its order.
type Faults []fixtures.Fault

// Error is one line a fault: "name:line:column: what is wrong; what would be right".
func (fs Faults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = fmt.Sprintf("%s:%d:%d: %s", f.File, f.Line, f.Col, f.String())
	}
	return strings.Join(lines, "\n")
}

// ParseProgram reads commands with their times, such as
//
//	0s next; 2.5s go "bow at dusk"
//	1 min dark   # the rest of a line after a # is a comment
//
// parted by ; or by lines, in the order of their times (units s, ms, min). name
// stands for the text in messages. The error is Faults: all that is wrong, by
// place. An empty program is none.
func ParseProgram(name, text string, shoot *cue.Shoot) ([]Timed, error) {
	r := programReader{name: name, names: namesOf(shoot)}
	if len(text) > MaxProgram {
		r.fault(place{1, 1}, fmt.Sprintf("the program has %d bytes", len(text)), fmt.Sprintf("a program has at most %d", MaxProgram))
		return nil, r.faults
	}
	for i, line := range strings.Split(text, "\n") {
		r.line(i+1, strings.TrimSuffix(line, "\r"))
	}
	if r.faults != nil {
		return nil, r.faults
	}
	return r.commands, nil
}

// programReader gathers the commands and faults of one program.
type programReader struct {
	name     string
	names    *names
	commands []Timed
	latest   written
	faults   Faults
}

// place is a line and column, both from 1, columns in characters.
type place struct{ line, col int }

func (r *programReader) fault(at place, what, cure string) {
	switch n := len(r.faults); {
	case n < MaxFaults:
		r.faults = append(r.faults, fixtures.Fault{
			Origin: fixtures.Origin{File: r.name, Line: at.line, Col: at.col},
			What:   what, Cure: cure,
		})
	case n == MaxFaults:
		r.faults = append(r.faults, fixtures.Fault{
			Origin: fixtures.Origin{File: r.name, Line: at.line, Col: at.col},
			What:   "and more is wrong from here on", Cure: "cure the above first",
		})
	}
}

// line reads the commands of one line.
func (r *programReader) line(n int, line string) {
	for at := 0; at < len(line); {
		end := endOfCommand(line[at:])
		if end < 0 {
			return // a comment to the end
		}
		r.command(line[at:at+end], func(byte int) place {
			return place{n, utf8.RuneCountInString(line[:at+byte]) + 1}
		})
		at += end
		if at < len(line) && line[at] == '#' {
			return
		}
		at++ // the ;
	}
}

// endOfCommand is where the command that s begins with ends: before a ; or a
// comment outside of quotes, or with the line. A quotation mark or # within a
// word is part of it.
func endOfCommand(s string) int {
	quoted := false
	for i := 0; i < len(s); i++ {
		starts := i == 0 || strings.IndexByte(" \t;", s[i-1]) >= 0
		switch c := s[i]; {
		case quoted && c == '\\':
			i++
		case quoted:
			quoted = c != '"'
		case c == '"' && starts:
			quoted = true
		case c == ';', c == '#' && starts:
			return i
		}
	}
	return len(s)
}

// command reads one command with its time. at places a byte of it.
func (r *programReader) command(text string, at func(byte int) place) {
	start := len(text) - len(strings.TrimLeft(text, blanks))
	if start == len(text) {
		return // nothing between two ;
	}
	when, n, bad := parseTime(text[start:])
	if bad != nil {
		r.fault(at(start+bad.at), bad.what, bad.cure)
		return
	}
	rest := start + n
	if r.latest.value != nil && when.value.Cmp(r.latest.value) < 0 {
		r.fault(at(start), fmt.Sprintf("%s comes after %s", when.text, r.latest.text), "write commands in the order of their times")
	} else {
		r.latest = when
	}
	if strings.Trim(text[rest:], blanks) == "" {
		r.fault(at(start), fmt.Sprintf("%s has no command", when.text), fmt.Sprintf("write for example %s next", when.text))
		return
	}
	c, bad := parse(text[rest:], r.names)
	if bad != nil {
		r.fault(at(rest+bad.at), bad.what, bad.cure)
		return
	}
	r.names.make(c)
	seconds, _ := when.value.Float64()
	r.commands = append(r.commands, Timed{At: seconds, Command: c})
}
