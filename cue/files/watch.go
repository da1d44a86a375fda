package files

import (
	"context"

	"limn/cue"
)

// Event is a change of a watched shoot.
type Event struct {
	Shoot    *cue.Shoot // nil: it has errors, and the last good one goes on
	Problems []Problem
	Files    []string // that changed, were made or went, in the shoot's folder
}

// Watch tells of changes to the shoot by others, until the context ends; then
// the channel is closed. The folder has read the change by the time it is told.
func (f *Folder) Watch(ctx context.Context) <-chan Event {
	out := make(chan Event)
	close(out)
	return out
}
