package operate

import (
	"fmt"
	"slices"
)

// Reply is the answer to a command.
type Reply struct {
	K       int64    // frame it acts in
	Notices []string // what the operator is told
	Refused bool     // it changed nothing
	Prompts []string // what hands must do now; under AutoConfirm, what was taken as done
	Ask     *Ask     // a question that it came to, before anything is changed
}

func (r *Reply) say(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); !slices.Contains(r.Notices, text) {
		r.Notices = append(r.Notices, text)
	}
}

func (r *Reply) refuse(format string, args ...any) {
	r.say(format, args...)
	r.Refused = true
}
