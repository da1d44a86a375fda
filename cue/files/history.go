package files

import (
	"errors"
	"time"
)

// Version is the shoot's files as they stood at one time.
type Version struct {
	ID    string // what Diff and Restore take
	At    time.Time
	Who   string
	What  string   // the command it came from
	Files []string // those that changed against the version before
}

// History lists the versions, the latest first.
func (f *Folder) History() ([]Version, error) { return nil, errors.New("not yet") }

// Diff is what a version changed against the one before, as a unified diff.
func (f *Folder) Diff(id string) (string, error) { return "", errors.New("not yet") }

// Restore plans to put the files back as they were in a version. Writing that
// plan is a version itself.
func (f *Folder) Restore(id string) (*Plan, error) { return nil, errors.New("not yet") }
