package screen

import (
	"slices"
	"strings"
	"unicode"

	tea "charm.land/bubbletea/v2"

	"limn/cue"
	"limn/cue/operate"
)

// line is a line of words being typed.
type line struct {
	text  []rune
	at    int      // of the cursor
	fault string   // why it was not taken
	cands []string // what it may go on to be
	tried int      // which of them stands there, by Tab; -1 = none
	past  int      // how far back in what was typed before
}

// open begins a line with a text.
func (l *line) set(text string, shoot *cue.Shoot) {
	l.text = []rune(text)
	l.at = len(l.text)
	l.changed(shoot)
}

func (l *line) changed(shoot *cue.Shoot) {
	l.fault, l.tried = "", -1
	l.cands = Complete(string(l.text), shoot)
}

// insert puts text at the cursor, without what moves one.
func (l *line) insert(text string, shoot *cue.Shoot) {
	for _, r := range text {
		if r == '\n' || r == '\r' || r == '\t' {
			r = ' '
		}
		if unicode.IsControl(r) || len(string(l.text)) >= operate.MaxCommand {
			continue
		}
		l.text = slices.Insert(l.text, l.at, r)
		l.at++
	}
	l.changed(shoot)
}

// tab puts the next of the candidates there; step is 1 or -1.
func (l *line) tab(step int) {
	if len(l.cands) == 0 {
		return
	}
	switch {
	case l.tried < 0 && step < 0:
		l.tried = len(l.cands) - 1
	default:
		l.tried = (l.tried + step + len(l.cands)) % len(l.cands)
	}
	l.text = []rune(l.cands[l.tried])
	l.at = len(l.text)
	l.fault = ""
}

// key edits the line; false where the key is none of editing.
func (l *line) key(k tea.Key, shoot *cue.Shoot) bool {
	switch k.Keystroke() {
	case "left":
		l.at = max(l.at-1, 0)
	case "right":
		l.at = min(l.at+1, len(l.text))
	case "home", "ctrl+a":
		l.at = 0
	case "end", "ctrl+e":
		l.at = len(l.text)
	case "backspace":
		if l.at > 0 {
			l.text = slices.Delete(l.text, l.at-1, l.at)
			l.at--
		}
		l.changed(shoot)
	case "delete":
		if l.at < len(l.text) {
			l.text = slices.Delete(l.text, l.at, l.at+1)
		}
		l.changed(shoot)
	case "ctrl+u":
		l.text, l.at = nil, 0
		l.changed(shoot)
	case "ctrl+w":
		from := len([]rune(strings.TrimRightFunc(string(l.text[:l.at]), func(r rune) bool { return r != ' ' })))
		if from == l.at && from > 0 {
			from--
		}
		l.text = slices.Delete(l.text, from, l.at)
		l.at = from
		l.changed(shoot)
	case "tab":
		l.tab(1)
		for len(l.cands) == 1 && l.tried == 0 { // nothing to choose from: on as far as that goes
			l.changed(shoot)
			if len(l.cands) == 1 && l.cands[0] != string(l.text) {
				l.tab(1)
			}
		}
	case "shift+tab":
		l.tab(-1)
	default:
		if k.Text == "" {
			return false
		}
		l.insert(k.Text, shoot)
	}
	return true
}

// recall puts what was typed before there; step is 1 for earlier.
func (l *line) recall(typed []string, step int, shoot *cue.Shoot) {
	past := min(max(l.past+step, 0), len(typed))
	text := ""
	if past > 0 {
		text = typed[len(typed)-past]
	}
	l.set(text, shoot)
	l.past = past
}
