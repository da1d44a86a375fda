package journal

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"sync"
	"syscall"
)

// standing is the warning that stays up.
type standing struct {
	mu     sync.Mutex
	failed error  // why nothing can be written now
	place  string // where
	unsafe int    // lines that are encoded and not known to be on the disk
	lost   Lost   // as last told
	noted  string // what cannot be mended any more
	news   bool   // noted has not been told
}

func (s *standing) note(text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.noted, s.news = text, true
}

// set takes the outcome of a try; true if there is something else to warn of than before.
func (s *standing) set(err error, place string, unsafe int, lost Lost) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	changed := s.news || (err == nil) != (s.failed == nil) || lost != s.lost
	s.failed, s.place, s.unsafe, s.lost, s.news = err, place, unsafe, lost, false
	return changed
}

// Warning is what is wrong with the journal at this moment, in words for the
// operator, "" if all is well. It is to stay up as long as it is not empty: the light goes on,
// but a crash would lose what it tells of.
func (j *Journal) Warning() string {
	if j == nil {
		return ""
	}
	waiting, lost := j.queue.waiting()
	s := &j.standing
	s.mu.Lock()
	defer s.mu.Unlock()
	var parts []string
	if s.failed != nil {
		parts = append(parts, fmt.Sprintf("the journal in %s cannot be written: %s; the light goes on, %s; %s",
			s.place, cause(s.failed), counted(int64(waiting+s.unsafe), "entry waits", "entries wait"), cure(s.failed)))
	}
	if lost.Entries > 0 {
		parts = append(parts, fmt.Sprintf("%s out of the journal: a resume or a replay of this run will not be exact",
			counted(lost.Entries, "entry was left", "entries were left")))
	}
	if lost.Azimuths > 0 {
		parts = append(parts, fmt.Sprintf("%s out of the journal: a replay of this run will not be exact",
			counted(lost.Azimuths, "angle of the table was left", "angles of the table were left")))
	}
	if s.noted != "" {
		parts = append(parts, s.noted)
	}
	return strings.Join(parts, "; ")
}

func counted(n int64, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// cause is an error without the path and the call, which the message names.
func cause(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

func cure(err error) string {
	switch {
	case errors.Is(err, syscall.ENOSPC):
		return "free some space, it is tried again by itself"
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return "make the folder writable, it is tried again by itself"
	default:
		return "it is tried again by itself"
	}
}
