package screen

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"
	"time"

	tea "charm.land/bubbletea/v2"
	"go.uber.org/goleak"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/operate"
	"limn/fixtures"
	"limn/testdata"
)

// teatest waits for signals for good.
func TestMain(m *testing.M) {
	goleak.VerifyTestMain(m, goleak.IgnoreTopFunction("github.com/charmbracelet/x/exp/teatest/v2.NewTestModel.func2"))
}

var update = flag.Bool("golden", false, "write the golden files instead of comparing with them")

// golden compares a view with the file of that name, or writes it.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, []byte(got+"\n"), 0o666); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal([]byte(got+"\n"), want) {
		t.Errorf("the view differs from %s; look at what go test -golden writes there:\n%s", file, got)
	}
}

func kittiwake(t testing.TB) *cue.Shoot {
	t.Helper()
	shoot, problems := files.Load("kittiwake", testdata.Kittiwake())
	for _, p := range problems {
		if !p.Warning {
			t.Fatal(p)
		}
	}
	return shoot
}

// live is a running shoot as a stage: commands act at once, and time passes when told.
type live struct {
	t      testing.TB
	engine *operate.Engine
	frames [][fixtures.UniverseSize]byte
	k      int64
	said   []string
	full   bool // no line is taken any more
}

func start(t testing.TB) *live {
	t.Helper()
	e, err := operate.New(kittiwake(t), operate.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return &live{t: t, engine: e, frames: make([][fixtures.UniverseSize]byte, len(e.Universes()))}
}

// do gives a command and lets so many seconds pass.
func (l *live) do(text string, seconds float64) *live {
	l.t.Helper()
	c, err := l.engine.Parse(text)
	if err != nil {
		l.t.Fatal(err)
	}
	l.engine.DoAt(l.k, c)
	for end := l.k + int64(seconds*44); l.k < end; l.k++ {
		l.engine.Fill(l.k, l.frames)
	}
	return l
}

func (l *live) Snapshot(dst *cue.Snapshot) { l.engine.Snapshot(dst) }
func (l *live) Shoot() *cue.Shoot          { return l.engine.Shoot() }
func (l *live) Sender() Sender             { return Sender{Text: "bench up; p99 0.1 ms late, 0 missed"} }

func (l *live) Check(text string) error {
	_, err := l.engine.Parse(text)
	return err
}

func (l *live) Say(line string) bool {
	if l.full {
		return false
	}
	l.said = append(l.said, line)
	return true
}

func (l *live) seen() Seen {
	s := Seen{Shoot: l.Shoot(), Snap: new(cue.Snapshot), Sender: l.Sender()}
	l.Snapshot(s.Snap)
	return s
}

// bench is a model that is given keys, and its clock.
type bench struct {
	*model
	live *live
	at   time.Time
}

func at(t testing.TB, l *live, width, height int) *bench {
	t.Helper()
	b := &bench{live: l, at: time.Unix(1, 0)}
	b.model = newModel(Options{Stage: l, Answers: NewAnswers()}, make(chan Seen, 1), nil)
	b.now = func() time.Time { return b.at }
	b.Update(tea.WindowSizeMsg{Width: width, Height: height})
	b.look()
	return b
}

// look has the screen see how things are now.
func (b *bench) look() *bench {
	b.see(b.live.seen())
	return b
}

// keys presses keys, each with the time of a quick hand between them, and carries out what a
// press has checked.
func (b *bench) keys(names ...string) *bench {
	b.live.t.Helper()
	for _, n := range names {
		b.at = b.at.Add(100 * time.Millisecond)
		_, cmd := b.Update(pressOf(b.live.t, n))
		if cmd != nil && b.armed == "" {
			b.Update(cmd())
		}
	}
	return b
}

var codes = map[string]rune{
	"enter": tea.KeyEnter, "tab": tea.KeyTab, "esc": tea.KeyEscape, "up": tea.KeyUp, "down": tea.KeyDown, "left": tea.KeyLeft,
	"right": tea.KeyRight, "pgup": tea.KeyPgUp, "pgdown": tea.KeyPgDown, "home": tea.KeyHome, "end": tea.KeyEnd,
	"backspace": tea.KeyBackspace, "delete": tea.KeyDelete, "f1": tea.KeyF1, "f5": tea.KeyF5,
}

// pressOf is a key's message as a terminal leads to it.
func pressOf(t testing.TB, name string) tea.KeyPressMsg {
	t.Helper()
	var k tea.Key
	switch code, ok := codes[name]; {
	case ok:
		k.Code = code
	case name == "shift+tab":
		k.Code, k.Mod = tea.KeyTab, tea.ModShift
	case name == "ctrl+c" || name == "ctrl+u" || name == "ctrl+w":
		k.Code, k.Mod = rune(name[5]), tea.ModCtrl
	case name == "space" || name == " ":
		k.Code, k.Text = ' ', " "
	case len([]rune(name)) == 1:
		k.Code, k.Text = []rune(name)[0], name
	default:
		t.Fatalf("the test knows no key %q", name)
	}
	return tea.KeyPressMsg(k)
}

// settle brings the shoot to a settled cue.
func settle(l *live, command string) *live {
	l.do(command, 12)
	for range 10 {
		s := l.seen()
		if len(s.Snap.Prompts) == 0 {
			break
		}
		l.do("confirm", 1)
	}
	return l.do("go bow", 0.1).do("confirm", 12)
}
