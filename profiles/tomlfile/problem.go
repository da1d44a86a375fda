package tomlfile

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"
)

// Problem is one fault or warning in a file.
type Problem struct {
	Pos
	Warning bool
	What    string // what is wrong, naming what was found
	Cure    string // what would be right; may be empty
}

// String is "file:line:column: what is wrong; what would be right", and for a
// warning "file:line:column: warning: ...". Control characters are shown as
// escapes, so that it can go to a terminal whatever the file says.
func (p Problem) String() string {
	var b strings.Builder
	if at := p.Pos.String(); at != "" {
		b.WriteString(at + ": ")
	}
	if p.Warning {
		b.WriteString("warning: ")
	}
	b.WriteString(clean(p.What))
	if p.Cure != "" {
		b.WriteString("; " + clean(p.Cure))
	}
	return b.String()
}

func (p Problem) severity() string {
	if p.Warning {
		return "warning"
	}
	return "error"
}

// MarshalJSON is {"file","line","column","severity","what","cure"}; severity is
// "error" or "warning". A line of 0 means the whole file.
func (p Problem) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		File     string `json:"file"`
		Line     int    `json:"line"`
		Column   int    `json:"column"`
		Severity string `json:"severity"`
		What     string `json:"what"`
		Cure     string `json:"cure"`
	}{clean(p.File), p.Line, p.Col, p.severity(), clean(p.What), clean(p.Cure)})
}

func (p Problem) compare(q Problem) int {
	return cmp.Or(p.Pos.Compare(q.Pos), strings.Compare(p.severity(), q.severity()),
		strings.Compare(p.What, q.What), strings.Compare(p.Cure, q.Cure))
}

// Problems collects faults of any number of files; the zero value is ready. It
// may be shared between goroutines.
type Problems struct {
	mu     sync.Mutex
	all    []Problem
	failed bool
	more   int // beyond MaxProblems
}

// Error adds a fault: what is wrong as a format, and what would be right.
func (ps *Problems) Error(at Pos, cure string, format string, args ...any) {
	ps.add(Problem{Pos: at, What: fmt.Sprintf(format, args...), Cure: cure})
}

// Warn adds something doubtful that stops nothing.
func (ps *Problems) Warn(at Pos, cure string, format string, args ...any) {
	ps.add(Problem{Pos: at, Warning: true, What: fmt.Sprintf(format, args...), Cure: cure})
}

func (ps *Problems) add(p Problem) {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	ps.failed = ps.failed || !p.Warning
	if len(ps.all) >= MaxProblems {
		ps.more++
		return
	}
	ps.all = append(ps.all, p)
}

// Sorted returns the problems by file, line and column, duplicates dropped.
// Where there were more than MaxProblems, the last one, of no file, counts them.
func (ps *Problems) Sorted() []Problem {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	out := slices.Clone(ps.all)
	slices.SortStableFunc(out, Problem.compare)
	out = slices.Compact(out)
	if ps.more > 0 {
		out = append(out, Problem{What: fmt.Sprintf("and %d problems more", ps.more), Cure: "mend these first"})
	}
	return out
}

// Failed says whether there is any error among the problems.
func (ps *Problems) Failed() bool {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	return ps.failed
}
