package files

import (
	"errors"
	"strings"
)

// ChangedError says that somebody else changed files between reading them and
// writing. Nothing was written. The choices are to reload and keep again, to
// write to a new cue after reloading, or to leave it.
type ChangedError struct {
	Files []string // in the shoot's folder
}

func (e *ChangedError) Error() string {
	verb := " has"
	if len(e.Files) > 1 {
		verb = " have"
	}
	return strings.Join(e.Files, ", ") + verb + " been changed by somebody else since; nothing is written: reload and keep again, keep as a new cue, or leave it"
}

// Write writes the plan: all files or none. The files as they were go into the
// history first. It returns a *ChangedError where somebody else wrote in between.
func (p *Plan) Write(by By) error { return errors.New("not yet") }
