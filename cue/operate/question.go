package operate

import (
	"fmt"
	"strings"

	"limn/cue"
)

// Ask is a question that a command came to. It stands until it is answered or
// another command is given; nothing has been changed yet.
type Ask struct {
	Text    string   // "nearest is 75° beam, 5° away"
	Details []string // what it is about, line by line
	Choices []cue.Choice
}

// Question is what is asked, without the choices: the details in lines of their own.
func (a *Ask) Question() string {
	return strings.Join(append([]string{a.Text}, a.Details...), "\n")
}

// question is an Ask with what its answers act on.
type question struct {
	ask     Ask
	about   Verb          // GoTo, TrimVerb, Reload, or a way to keep
	azimuth float64       // GoTo
	cue     int           // GoTo: the nearest
	trims   map[int]trims // TrimVerb: the new ones by cue
	text    string        // of the command
	keep    *Command      // that waits for a word: it met what somebody else wrote, or is told first
}

// ask leaves a question standing.
func (m *moment) ask(q *question, r *Reply) {
	m.question = q
	r.Ask = &q.ask
}

// String is the question with its choices, as lines of text.
func (a *Ask) String() string {
	var b strings.Builder
	b.WriteString(strings.ReplaceAll(a.Question(), "\n", "\n  "))
	for i, c := range a.Choices {
		command := c.Command
		if strings.HasSuffix(command, " ") {
			command += "NAME"
		}
		fmt.Fprintf(&b, "\n  %d  %s: %s", i+1, command, c.Text)
	}
	return b.String()
}

// answer gives the answer to the standing question. Verbs that are answers and
// commands in their own right come here only where there is such a question.
func (m *moment) answer(k int64, c Command, q *question, r *Reply) {
	switch {
	case q == nil:
		r.refuse("nothing was asked that %q answers", c.Verb)
	case c.Verb == NeverMind:
		r.say("left as it is")
	case q.about == GoTo && c.Verb == Take:
		m.call(k, q.cue, r)
	case q.about == GoTo && c.Verb == StartHere:
		m.startHere(k, q.cue, q.azimuth, r)
	case q.about == TrimVerb && c.Verb == Apply:
		m.applyTrims(k, q, r)
	default:
		r.refuse("%q does not answer what was asked: %s", c.Verb, q.ask.Text)
	}
}
