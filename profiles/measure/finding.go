package measure

import (
	"fmt"

	"limn/fixtures"
)

// Finding is something about the readings that the user should know. A fault keeps a
// calibration from being written; the readings are kept all the same.
type Finding struct {
	fixtures.Origin
	Fault bool
	What  string // what is wrong or doubtful, naming what was found
	Cure  string // what to do
}

func (f Finding) String() string { return f.What + "; " + f.Cure }

// findings collects them.
type findings []Finding

func (fs *findings) fault(at fixtures.Origin, cure, format string, args ...any) {
	*fs = append(*fs, Finding{at, true, fmt.Sprintf(format, args...), cure})
}

func (fs *findings) warn(at fixtures.Origin, cure, format string, args ...any) {
	*fs = append(*fs, Finding{at, false, fmt.Sprintf(format, args...), cure})
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
