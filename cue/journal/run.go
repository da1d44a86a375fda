package journal

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// Run is a run as its journal tells it.
type Run struct {
	Path   string    // of the journal
	Begun  time.Time // local
	Header           // of the beginning

	Latest   Header // of the latest resume, else of the beginning
	Ended    bool   // cleanly
	Reached  int64  // the last frame on record as made; -1 none
	Commands int    // how many
	Resumed  int    // how often
	Last     string // hash of the files it had last; "" not kept
	Lost     Lost   // what the journal says it left out
	Torn     bool   // its last line is cut short, as a crash may leave it

	Damage  []Damage // the first MaxDamage damaged lines
	Damaged int      // how many there are

	folder string
	number int
	first  []byte   // line
	began  string   // hash of the first files
	lines  uint64   // number of the last good line
	size   int64    // bytes up to the end of the last whole line
	sets   []string // hashes, in their order, each once
	unkept bool     // there was a set that could not be kept
}

// maxSets is how many different sets of one run are held on to.
const maxSets = 1024

// ReadLog reads the journal of a run. It fails where the file cannot be read or
// is none; a damaged journal is a Run that tells of it.
func ReadLog(path string) (*Run, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r := &Run{Path: path, Reached: -1, folder: filepath.Dir(path)}
	r.number, _, _ = runNumber(filepath.Base(path))
	if err := r.read(f); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return r, nil
}

// errNone is the error of a file that is no journal.
var errNone = errors.New("this is not the journal of a run; those are in .limn/journal of a shoot")

// read takes the whole journal in.
func (r *Run) read(from io.Reader) error {
	s := newScanner(from)
	bad := uint64(0) // damaged lines since the last good one
	for {
		e, damage, err := s.next()
		switch {
		case errors.Is(err, io.EOF):
			r.Torn = s.torn
			if r.first == nil {
				return errNone
			}
			return nil
		case err != nil:
			return err
		case r.first == nil:
			if err := r.begin(&e, damage, s); err != nil {
				return err
			}
		case damage != nil:
			r.damaged(*damage)
			bad++
		default:
			if e.N <= r.lines || e.N > r.lines+1+bad {
				r.damaged(Damage{s.line, missing(r.lines+1, e.N)})
			}
			r.take(&e)
			r.lines, bad = max(r.lines, e.N), 0
		}
		r.size = s.at
	}
}

// begin takes the first line.
func (r *Run) begin(e *Entry, damage *Damage, s *scanner) error {
	if damage != nil {
		if bytes.HasPrefix(s.bytes, []byte(`{"n":1,"what":"begin"`)) {
			return fmt.Errorf("line 1, with which a journal begins, is damaged: %s", damage.What)
		}
		return errNone
	}
	if e.What != KindBegin || e.Header == nil {
		return errNone
	}
	if v := e.Header.Version; v < 1 || v > Version {
		return fmt.Errorf("the journal is of version %d; this program reads up to version %d", v, Version)
	}
	r.first, r.lines = bytes.Clone(s.bytes), e.N
	r.Header, r.Latest, r.Begun = *e.Header, *e.Header, e.Time
	r.began = e.Files
	r.use(e.Files)
	return nil
}

func missing(want, got uint64) string {
	switch {
	case got < want:
		return fmt.Sprintf("it has number %d again", got)
	case got == want+1:
		return fmt.Sprintf("entry %d is missing before it", want)
	default:
		return fmt.Sprintf("entries %d to %d are missing before it", want, got-1)
	}
}

func (r *Run) damaged(d Damage) {
	r.Damaged++
	if len(r.Damage) < MaxDamage {
		r.Damage = append(r.Damage, d)
	}
}

// take takes one entry in.
func (r *Run) take(e *Entry) {
	r.Ended = e.What == KindEnd
	switch e.What {
	case KindCommand:
		r.Commands++
	case KindReload, KindKept:
		r.use(e.Files)
	case KindAt, KindEnd:
		r.Reached = max(r.Reached, e.K)
	case KindResume:
		r.Resumed++
		if e.Header != nil {
			r.Latest = *e.Header
		}
		if e.Files != "" {
			r.use(e.Files)
		}
	case KindGap:
		if e.Lost != nil {
			r.Lost.Entries += e.Lost.Entries
			r.Lost.Azimuths += e.Lost.Azimuths
		}
	}
}

func (r *Run) use(hash string) {
	r.Last = hash
	r.unkept = r.unkept || hash == ""
	if hash != "" && len(r.sets) < maxSets && !slices.Contains(r.sets, hash) {
		r.sets = append(r.sets, hash)
	}
}

// Files are the files of a set that the run was given, as they were then.
func (r *Run) Files(hash string) (Files, error) {
	if hash == "" {
		return nil, errNoFiles
	}
	return loadSet(r.folder, r.number, hash)
}

// FirstFiles are the files that the run began with.
func (r *Run) FirstFiles() (Files, error) { return r.Files(r.began) }

// Entries are all entries that can be read, in their order; an error is that of reading,
// and the last. The journal is read anew, a line at a time, as far as it went when it was
// read first.
func (r *Run) Entries() iter.Seq2[Entry, error] {
	return func(yield func(Entry, error) bool) {
		f, err := os.Open(r.Path)
		if err != nil {
			yield(Entry{}, err)
			return
		}
		defer f.Close()
		for s := newScanner(io.LimitReader(f, r.size)); ; {
			e, damage, err := s.next()
			switch {
			case errors.Is(err, io.EOF):
				return
			case err != nil:
				yield(Entry{}, err)
				return
			case damage != nil:
			case !yield(e, nil):
				return
			}
		}
	}
}

// Steps are the entries that make light, in the order in which they were taken: commands,
// reloads, what commands wrote into files, and azimuths. K need not rise: it is the frame an entry
// acts in, and a command may be given for later.
func (r *Run) Steps() iter.Seq2[Entry, error] {
	return func(yield func(Entry, error) bool) {
		for e, err := range r.Entries() {
			switch {
			case err != nil:
			case e.What == KindCommand, e.What == KindReload, e.What == KindKept, e.What == KindAzimuth:
			default:
				continue
			}
			if !yield(e, err) {
				return
			}
		}
	}
}

// Last is the latest run of the shoot in dir; nil if there was none, or none that
// came as far as its first entry.
func Last(dir string) (*Run, error) {
	folder := Folder(dir)
	entries, err := os.ReadDir(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	runs := logs(entries)
	if len(runs) == 0 {
		return nil, nil
	}
	path := filepath.Join(folder, logName(runs[len(runs)-1]))
	r, err := ReadLog(path)
	if errors.Is(err, errNone) && beforeFirst(path) {
		return nil, nil
	}
	return r, err
}

// beforeFirst tells whether a journal ends within its first line: a crash came
// before anything was commanded.
func beforeFirst(path string) bool {
	data, err := readBounded(path, MaxLine)
	return err == nil && bytes.IndexByte(data, '\n') < 0
}
