package operate_test

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/journal"
	"limn/cue/operate"
	"limn/fixtures"
)

var update = flag.Bool("update", false, "write what the day comes to anew; read it as a diff")

// dayDir is where the day lies, wherever a test goes.
var dayDir, _ = filepath.Abs("../../testdata/kittiwake-day")

// day is a shoot day under way: the example's program, its journal, and all that was sent.
type day struct {
	*testing.T
	dir     string
	folder  *files.Folder
	engine  *operate.Engine
	journal *journal.Journal
	reached atomic.Int64

	k       int64
	frames  [][fixtures.UniverseSize]byte
	sums    map[int64]string  // of every frame that was sent
	noted   string            // the sum that was last noted
	settled string            // what was last noted as settled; "" once light moves
	last    map[string]string // by cue: the sum of it that was last noted as settled
	said    bytes.Buffer      // what was said to whom
	sent    bytes.Buffer      // what the light settled on
}

// The day of the shoot as it is told in testdata/kittiwake-day: its answers, its frames
// and its files are those that lie there; its journal, played again, gives the same
// frames, and so does the run that went on after a crash.
func TestTheDay(t *testing.T) {
	d := &day{T: t, dir: t.TempDir(), k: -1, sums: map[int64]string{}, last: map[string]string{}}
	d.copy("morning")
	d.begin()
	defer func() { d.journal.Close(d.k) }()
	for _, l := range dayLines(t) {
		d.to(l.k - 1)
		if what, ok := strings.CutPrefix(l.text, "!"); ok {
			d.happens(l.k, strings.TrimSpace(what))
			continue
		}
		d.give(l)
	}
	d.to(d.k + 4*44)
	d.engine.Tell()
	if err := d.journal.Close(d.k); err != nil {
		t.Fatal(err)
	}
	d.compare("said.txt", d.said.Bytes())
	d.compare("frames.txt", d.sent.Bytes())
	for _, name := range []string{"cues/boat.toml", "cues/sequences.toml", "rig.toml"} {
		text, err := os.ReadFile(filepath.Join(d.dir, name))
		if err != nil {
			t.Fatal(err)
		}
		d.compare("evening/"+name, text)
	}
	d.log()
	d.replay()
	d.everyEvening()
}

// dayLine is a line of the program.
type dayLine struct {
	k    int64
	when string
	text string
}

func dayLines(t *testing.T) (lines []dayLine) {
	text, err := os.ReadFile(dayDir + "/day.txt")
	if err != nil {
		t.Fatal(err)
	}
	for n, l := range strings.Split(string(text), "\n") {
		if at := strings.Index(l, " #"); at >= 0 {
			l = l[:at]
		}
		if l = strings.TrimSpace(l); l == "" || l[0] == '#' {
			continue
		}
		when, rest, _ := strings.Cut(l, " ")
		seconds, err := strconv.ParseFloat(strings.TrimSuffix(when, "s"), 64)
		k := int64(math.Ceil(seconds * 44))
		if err != nil || len(lines) > 0 && k < lines[len(lines)-1].k {
			t.Fatalf("day.txt:%d: %q is no time, or out of order", n+1, when)
		}
		lines = append(lines, dayLine{k, when, strings.TrimSpace(rest)})
	}
	return lines
}

// copy copies files of the day into the shoot.
func (d *day) copy(from string) {
	d.Helper()
	if err := os.CopyFS(d.dir, os.DirFS(filepath.Join(dayDir, from))); err != nil {
		d.Fatal(err)
	}
}

// begin opens the shoot for a new run.
func (d *day) begin() {
	d.open(func(folder *files.Folder, shoot *cue.Shoot) *operate.Engine {
		return d.make(shoot, folder)
	})
	d.journal = journal.Begin(d.dir, d.options())
}

func (d *day) open(engine func(*files.Folder, *cue.Shoot) *operate.Engine) {
	d.Helper()
	folder, shoot, problems, err := files.Open(d.dir)
	if err != nil || shoot == nil {
		d.Fatal(problems, err)
	}
	d.folder = folder
	d.engine = engine(folder, shoot)
	d.frames = make([][fixtures.UniverseSize]byte, len(d.engine.Universes()))
}

func (d *day) make(shoot *cue.Shoot, folder *files.Folder) *operate.Engine {
	d.Helper()
	e, err := operate.New(shoot, operate.Options{Folder: folder, Write: true, OnDone: d.done})
	if err != nil {
		d.Fatal(err)
	}
	return e
}

func (d *day) options() journal.Options {
	return journal.Options{Program: "day", Epoch: time.Unix(1_800_000_000, 0), Rate: 44, Files: journal.FilesOf(d.texts()), Reached: d.reached.Load}
}

// texts are the files of the shoot, with what was approved.
func (d *day) texts() map[string][]byte {
	texts := d.folder.Texts()
	names, _ := filepath.Glob(filepath.Join(d.dir, files.ApprovedDir, "*.json"))
	for _, name := range names {
		if b, err := os.ReadFile(name); err == nil {
			texts[files.ApprovedDir+"/"+filepath.Base(name)] = b
		}
	}
	return texts
}

// done writes the journal.
func (d *day) done(done operate.Done) {
	if p := done.Mark.Picture; p != nil {
		d.journal.Captured(done.K, journal.Capture{Image: p.Name, Number: int64(p.Image), Take: p.Take, Frame: p.Entry + 1, Of: p.Of, By: "hand"})
	}
	switch {
	case done.Auto:
		d.tell(done.K, "...", done.Reply)
	case done.Command.Verb == operate.Reload:
		d.journal.Reload(done.K, journal.FilesOf(d.texts()))
	default:
		d.journal.Command(done.K, done.Command.String())
		if len(done.Mark.Files) > 0 {
			d.journal.Kept(done.K, journal.FilesOf(d.texts()))
		}
	}
}

// give gives a command, as it is typed.
func (d *day) give(l dayLine) {
	d.Helper()
	c, err := d.engine.Parse(l.text)
	if err != nil {
		d.Fatalf("%s %s: %v", l.when, l.text, err)
	}
	if again, err := d.engine.Parse(c.String()); err != nil || again.String() != c.String() {
		d.Fatalf("%s is not read back as it is written, %q: %v", l.text, c, err)
	}
	r := d.engine.Do(c)
	if r.Refused || r.K != l.k {
		d.Fatalf("%s %s, in frame %d: %v", l.when, l.text, r.K, r.Notices)
	}
	d.tell(r.K, l.text, r)
}

// tell writes down what was said.
func (d *day) tell(k int64, command string, r operate.Reply) {
	fmt.Fprintf(&d.said, "%7.2fs  %s\n", float64(k)/44, command)
	lines := slices.Clone(r.Notices)
	if r.Ask != nil {
		lines = append(lines, "? "+r.Ask.String())
	}
	for _, p := range r.Prompts {
		lines = append(lines, "> "+p)
	}
	for _, l := range lines {
		l = strings.ReplaceAll(l, d.dir+string(filepath.Separator), "")
		fmt.Fprintf(&d.said, "          %s\n", strings.ReplaceAll(l, "\n", "\n          "))
	}
}

// to fills frames up to one: enough of them to see all that moves. A frame does not
// depend on those before it.
func (d *day) to(k int64) {
	for d.k < k {
		if d.k++; d.k == k || d.k%4 == 0 || d.k%11 == 0 {
			d.frame()
		}
	}
}

// frame fills a frame.
func (d *day) frame() {
	d.Helper()
	if !d.engine.Fill(d.k, d.frames) {
		return
	}
	sum := journal.FrameSum(d.frames)
	if was, again := d.sums[d.k]; again && was != sum {
		d.Fatalf("frame %d is another once the run was taken up", d.k)
	}
	d.sums[d.k] = sum
	d.reached.Store(d.k)
	if d.k%11 != 0 { // a quarter of a second is soon enough
		return
	}
	s := (&live{engine: d.engine}).snapshot()
	what := fmt.Sprintf("%s, %v", s.CueName, s.Motion)
	moves := s.Motion == cue.Fading || s.Motion == cue.Waiting
	if moves && (d.k%44 != 0 || sum == d.noted) || !moves && what == d.settled {
		if moves {
			d.settled = ""
		}
		return
	}
	d.noted = sum
	fmt.Fprintf(&d.sent, "%7.2fs  %s  %s\n", float64(d.k)/44, sum, what)
	if d.settled = what; moves {
		d.settled = ""
		return
	}
	if s.Motion == cue.Settled {
		d.last[s.CueName] = sum
	}
	d.journal.Settled(d.k, journal.State{Cue: s.CueName, Azimuth: &s.Azimuth, Slots: sum})
}

// What happens around the commands.
var (
	becomes = regexp.MustCompile(`^in (\S+), (".*") becomes (".*")$`)
	added   = regexp.MustCompile(`^to (\S+) is added (".*")$`)
	put     = regexp.MustCompile(`^the file (\S+) is put into the folder$`)
	picture = regexp.MustCompile(`^somebody puts the picture (\S+) into the folder$`)
	turns   = regexp.MustCompile(`^the table turns from (\d+) to (\d+) in (\d+) s$`)
)

// happens does, before frame k, what a line of the day tells.
func (d *day) happens(k int64, what string) {
	d.Helper()
	fmt.Fprintf(&d.said, "%7.2fs  ! %s\n", float64(k)/44, what)
	unquote := func(s string) string {
		text, err := strconv.Unquote(s)
		if err != nil {
			d.Fatalf("%s: %v", s, err)
		}
		return text
	}
	switch {
	case becomes.MatchString(what):
		m := becomes.FindStringSubmatch(what)
		was := d.read(m[1])
		if !strings.Contains(was, unquote(m[2])) {
			d.Fatalf("%s holds no %s:\n%s", m[1], m[2], was)
		}
		d.write(m[1], strings.ReplaceAll(was, unquote(m[2]), unquote(m[3])))
		d.changed(k)
	case added.MatchString(what):
		m := added.FindStringSubmatch(what)
		d.write(m[1], d.read(m[1])+unquote(m[2]))
		d.changed(k)
	case put.MatchString(what):
		d.copy("afternoon")
		d.changed(k)
	case picture.MatchString(what):
		d.write(picture.FindStringSubmatch(what)[1], "a picture")
		d.Chdir(d.dir) // where a picture without a path is looked for
	case turns.MatchString(what):
		m := turns.FindStringSubmatch(what)
		from, _ := strconv.ParseFloat(m[1], 64)
		to, _ := strconv.ParseFloat(m[2], 64)
		seconds, _ := strconv.ParseFloat(m[3], 64)
		d.turn(k, from, to, int64(seconds*44))
	case what == "the program is killed":
		d.crash(k)
	default:
		d.Fatalf("nobody knows how this happens: %s", what)
	}
}

func (d *day) read(name string) string {
	d.Helper()
	b, err := os.ReadFile(filepath.Join(d.dir, name))
	if err != nil {
		d.Fatal(err)
	}
	return string(b)
}

func (d *day) write(name, text string) {
	d.Helper()
	if err := os.WriteFile(filepath.Join(d.dir, name), []byte(text), 0o666); err != nil {
		d.Fatal(err)
	}
}

// changed is what a watched folder comes to in frame k. Files with errors leave the light.
func (d *day) changed(k int64) {
	d.Helper()
	shoot, problems := d.folder.Reload()
	ev := files.Event{Shoot: shoot, Problems: problems}
	before := slices.Clone(d.frames)
	r := d.engine.Changed(ev)
	d.tell(k, "the files have changed", r)
	if shoot != nil {
		return
	}
	s := (&live{engine: d.engine}).snapshot()
	if !r.Refused || len(s.Warnings) == 0 {
		d.Fatalf("errors in the files do not stand as warnings: %+v, %q", r, s.Warnings)
	}
	d.to(d.k + 30)
	if !slices.Equal(before, d.frames) {
		d.Fatal("files with errors change the light")
	}
}

// turn lets the table tell where it is, once a frame. At each cue's angle the light is
// that cue's.
func (d *day) turn(k int64, from, to float64, frames int64) {
	d.Helper()
	for f := range frames {
		at := from + (to-from)*float64(f+1)/float64(frames)
		r := d.engine.TableAt(at)
		if r.Refused || r.K != k+f {
			d.Fatalf("the table is not heard: %+v", r)
		}
		d.journal.Azimuth(r.K, at)
		d.to(r.K)
	}
}

// crash kills the program after frame k-1, and starts it again. An engine that nobody
// killed shows what would have been sent.
func (d *day) crash(k int64) {
	d.Helper()
	undisturbed, next := d.engine, d.k+1
	if err := d.journal.Close(d.k); err != nil {
		d.Fatal(err)
	}
	log, err := os.ReadFile(d.journal.Path())
	if err != nil {
		d.Fatal(err)
	}
	if err := os.WriteFile(d.journal.Path(), torn(log, `{"n":`), 0o666); err != nil {
		d.Fatal(err)
	}
	run, err := journal.Last(d.dir)
	if err != nil || run == nil || !run.Torn {
		d.Fatalf("%+v %v", run, err)
	}
	if way, why := run.Resume(journal.FilesOf(d.texts()).Hash()); way != journal.Same {
		d.Fatalf("the run cannot be taken up: %v %s", way, why)
	}
	d.open(func(folder *files.Folder, _ *cue.Shoot) *operate.Engine {
		e := again(d, run, d.done, nil, nil)
		e.Onto(folder, true)
		e.StartAt(run.Reached + 1)
		return e
	})
	o := d.options()
	o.Files = nil
	d.journal = journal.Continue(run, o)
	d.k = run.Reached
	d.to(next - 1)
	fmt.Fprintf(&d.said, "%7.2fs  the program is started again, and goes on\n", float64(next)/44)
	other := make([][fixtures.UniverseSize]byte, len(d.frames))
	for range 3 * 44 {
		d.k++
		d.frame()
		if undisturbed.Fill(d.k, other); !slices.Equal(other, d.frames) {
			d.Fatalf("frame %d is not what would have been sent", d.k)
		}
	}
}

// log holds the journal of the day against what was done.
func (d *day) log() {
	d.Helper()
	run, err := journal.Last(d.dir)
	if err != nil {
		d.Fatal(err)
	}
	if !run.Ended || run.Resumed != 1 || run.Damaged != 0 && !run.Torn || run.Inexact() != "" {
		d.Errorf("the journal tells of another day: %+v, %s", run, run.Inexact())
	}
	var commands []string
	pictures := map[int64]int{}
	for e, err := range run.Entries() {
		if err != nil {
			d.Fatal(err)
		}
		switch e.What {
		case journal.KindCommand:
			commands = append(commands, e.Text)
		case journal.KindCapture:
			pictures[e.Capture.Number]++
		}
	}
	var want []string
	for _, l := range dayLines(d.T) {
		if l.text[0] != '!' {
			want = append(want, l.text)
		}
	}
	if len(commands) != len(want) {
		d.Errorf("%d commands are in the journal, %d were given", len(commands), len(want))
	}
	if !pictured(pictures, 4711, 4712, 4713) {
		d.Errorf("pictures %v", pictures)
	}
}

// pictured says whether these numbers were taken, and no others.
func pictured(pictures map[int64]int, numbers ...int64) bool {
	for _, n := range numbers {
		if pictures[n] == 0 {
			return false
		}
	}
	return len(pictures) == len(numbers)
}

// replay plays the whole day again from its journal.
func (d *day) replay() {
	d.Helper()
	run, err := journal.Last(d.dir)
	if err != nil {
		d.Fatal(err)
	}
	n := 0
	was := func(k int64) bool { _, sent := d.sums[k]; return sent }
	again(d, run, nil, was, func(k int64, frames [][fixtures.UniverseSize]byte, live bool) {
		if n++; !live || journal.FrameSum(frames) != d.sums[k] {
			d.Fatalf("frame %d, played again, is another", k)
		}
	})
	if n != len(d.sums) || n < 3000 {
		d.Errorf("%d of %d frames were played again", n, len(d.sums))
	}
}

// everyEvening looks at what is left of the day: the files alone give the light that
// was kept last, what was approved is there with its picture, and every version before.
func (d *day) everyEvening() {
	d.Helper()
	approvals, gone, err := d.folder.Approvals()
	if err != nil || len(gone) > 0 || len(approvals) != 3 {
		d.Fatalf("%d approvals, %v gone: %v", len(approvals), gone, err)
	}
	pictures := 0
	for _, a := range approvals {
		pictures += len(a.Pictures)
	}
	if pictures != 1 {
		d.Errorf("%d pictures are with the approvals", pictures)
	}
	l := &live{t: d, engine: mustEngine(d, d.folder.Shoot()), k: -1}
	l.out = make([][fixtures.UniverseSize]byte, len(l.engine.Universes()))
	l.do("go bow")
	if got := journal.FrameSum(l.settle()); got != d.last["bow"] {
		d.Errorf("the files give %s for bow, not %s", got, d.last["bow"])
	}
	versions, err := d.folder.History()
	if err != nil || len(versions) < 8 {
		d.Errorf("the history has %d versions: %v", len(versions), err)
	}
}

func (d *day) compare(name string, got []byte) {
	d.Helper()
	path := filepath.Join(dayDir, name)
	if *update {
		if err := os.WriteFile(path, got, 0o666); err != nil {
			d.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		d.Fatal(err)
	}
	if !bytes.Equal(want, got) {
		a, b := strings.Split(string(want), "\n"), strings.Split(string(got), "\n")
		for i := range max(len(a), len(b)) {
			if i >= len(a) || i >= len(b) || a[i] != b[i] {
				d.Errorf("%s:%d: it is\n%s\nwant\n%s", name, i+1, strings.Join(b[min(i, len(b)):min(i+3, len(b))], "\n"), strings.Join(a[min(i, len(a)):min(i+3, len(a))], "\n"))
				return
			}
		}
	}
}
