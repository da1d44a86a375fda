package journal

import "fmt"

// Way is how a run may be taken up again.
type Way int

// The ways, from nothing to do to nothing to be done.
const (
	// Fresh: there is nothing to take up. No run, one that ended cleanly, or one
	// that was never given a command.
	Fresh Way = iota
	// Same: the folder holds the files that the run had last. Play its steps from
	// its first files on; the light is that of the frame reached, and goes on.
	Same
	// Changed: somebody edited the folder since. Play the steps as for Same; then
	// reload the folder, if it loads, as after any edit: the change fades in from the light there was.
	Changed
	// Unsure: the files of the run are not kept any more, or damaged. Its commands may be played
	// over the folder's files, but the light may be another.
	Unsure
)

// Resume says how the run may be taken up by a folder whose files have the given
// hash ("" if they do not load, or are not known), and in words what the operator should hear: why
// nothing is resumed, or what is not as it was. A nil Run is Fresh.
func (r *Run) Resume(folder string) (Way, string) {
	switch {
	case r == nil:
		return Fresh, ""
	case r.Ended:
		return Fresh, ""
	case r.Commands == 0:
		return Fresh, "the last run ended uncleanly before its first command; there is nothing to resume"
	}
	for _, h := range append([]string{r.began}, r.sets...) {
		if _, err := r.Files(h); err != nil {
			return Unsure, fmt.Sprintf("the last run ended uncleanly, and %v; its commands over the present files may give other light", err)
		}
	}
	if r.unkept {
		return Unsure, fmt.Sprintf("the last run ended uncleanly, and %v; its commands over the present files may give other light", errNoFiles)
	}
	way, text := Same, ""
	switch folder {
	case r.Last:
	case "":
		way, text = Changed, "the files were edited since and have errors; the light comes back as it was before"
	default:
		way, text = Changed, "the files were edited since; the light comes back as it was, then the edit fades in"
	}
	if why := r.Inexact(); why != "" {
		if text != "" {
			text += "; "
		}
		text += why
	}
	return way, text
}

// Inexact says why the steps of the run may not give the frames it gave, "" if
// they do: what is damaged or was left out. That the program and the architecture are the
// same, and that the files are kept, is for the caller to look at.
func (r *Run) Inexact() string {
	switch {
	case r.Damaged == 1:
		return fmt.Sprintf("%s is damaged at %s; frames from there on may differ", r.Path, r.Damage[0])
	case r.Damaged > 1:
		return fmt.Sprintf("%s is damaged in %d places, first at %s; frames from there on may differ", r.Path, r.Damaged, r.Damage[0])
	case r.Lost != (Lost{}):
		return fmt.Sprintf("the journal had to leave out %s and %s; frames may differ",
			counted(r.Lost.Entries, "entry", "entries"), counted(r.Lost.Azimuths, "angle of the table", "angles of the table"))
	}
	return ""
}
