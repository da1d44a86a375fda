package measure

import (
	"fmt"

	"limn/fixtures"
)

// Finding is something about the readings that the user should know. A fault keeps a
// calibration from being written; the readings are kept all the same.
type Finding struct {
	fixtures.Origin
	Fault   bool
	What    string   // what is wrong or doubtful, naming what was found
	Cure    string   // what to do
	Sources []string // of findings about several lights: which to read again
}

// String is the finding in one line, with its place where it has one.
func (f Finding) String() string {
	text := f.What
	if f.Cure != "" {
		text += "; " + f.Cure
	}
	if f.File != "" {
		text = fmt.Sprintf("%s:%d: %s", f.File, f.Line, text)
	}
	return text
}

// findings collects them.
type findings []Finding

func (fs *findings) fault(at fixtures.Origin, cure, format string, args ...any) {
	*fs = append(*fs, Finding{Origin: at, Fault: true, What: fmt.Sprintf(format, args...), Cure: cure})
}

func (fs *findings) warn(at fixtures.Origin, cure, format string, args ...any) {
	*fs = append(*fs, Finding{Origin: at, What: fmt.Sprintf(format, args...), Cure: cure})
}

// Failed says whether there is a fault among findings.
func Failed(fs []Finding) bool {
	for _, f := range fs {
		if f.Fault {
			return true
		}
	}
	return false
}
