package operate

import (
	"strconv"
	"strings"

	"limn/fixtures/quantity"
)

// Command is one command of the grammar, parsed. Which fields count is told
// with each [Verb].
type Command struct {
	Verb    Verb
	Name    string
	Names   []string
	On      bool
	Stops   quantity.Stops
	Azimuth quantity.Degrees
	Number  int
	Trim    *Trim
}

// String is the command as it is written; Parse reads it back.
func (c Command) String() string {
	verb := string(c.Verb)
	switch c.Verb {
	case Go, MatchExposure, KeepAs, Attach, Note, Play, Missed:
		return verb + " " + quote(c.Name)
	case GoTo:
		if c.Name != "" {
			return verb + " " + quote(c.Name)
		}
		return verb + " " + c.Azimuth.String()
	case Azimuth:
		return verb + " " + c.Azimuth.String()
	case NewAngle:
		return verb + " " + quote(c.Name) + " at " + c.Azimuth.String()
	case WholeBy:
		return verb + " " + upDown(c.Stops)
	case WholeTo:
		return verb + " " + c.Stops.String()
	case Look:
		return verb + " " + quote(c.Name) + onOff(c.On)
	case WorkLight, HoldExposure:
		return verb + onOff(c.On)
	case Identify, Aim, Alone:
		if c.Name == "" {
			return verb + " off"
		}
		return verb + " " + quote(c.Name)
	case Without, With:
		if c.Name == "" {
			return verb + " " + everything
		}
		return verb + " " + quote(c.Name)
	case CopyTo:
		return verb + " " + quoteAll(c.Names)
	case Mirror:
		if c.Name != "" {
			return verb + " as " + quote(c.Name)
		}
	case Picture:
		return verb + " " + strconv.Itoa(c.Number)
	case TrimVerb:
		return verb + " " + c.Trim.String()
	}
	return verb
}

// onlyAnswers says whether a verb is nothing but the answer to a question, and
// touches no files.
func (v Verb) onlyAnswers() bool {
	return v == Take || v == StartHere || v == Apply || v == NeverMind
}

func onOff(on bool) string {
	if on {
		return " on"
	}
	return " off"
}

// upDown words a signed number of stops: "up 1/2 stop", "down 1 1/3 stops".
func upDown(s quantity.Stops) string {
	text := strings.TrimLeft(s.String(), signs)
	if s.Stops < 0 {
		return "down " + text
	}
	return "up " + text
}

// signs are the signs of numbers, as editors write them.
const signs = "+-\u2212\u2010\u2011\u2012\u2013\uFE63\uFF0D"

func quoteAll(names []string) string {
	quoted := make([]string, len(names))
	for i, n := range names {
		quoted[i] = quote(n)
	}
	return strings.Join(quoted, ", ")
}
