package dial

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/operate"
	"limn/fixtures"
	"limn/testdata"
)

var update = flag.Bool("update", false, "write the golden files instead of comparing with them")

// golden compares a picture with the file of that name, or writes it.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, got, 0o666); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("the picture differs from %s; look at what go test -update writes there", file)
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

// live is a running shoot.
type live struct {
	t      testing.TB
	engine *operate.Engine
	frames [][fixtures.UniverseSize]byte
	k      int64
}

func start(t testing.TB, shoot *cue.Shoot, autoConfirm bool) *live {
	t.Helper()
	e, err := operate.New(shoot, operate.Options{AutoConfirm: autoConfirm})
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

func (l *live) snapshot() *cue.Snapshot {
	s := new(cue.Snapshot)
	l.engine.Snapshot(s)
	return s
}

// moments of a day with Kittiwake.
func moments(t testing.TB) map[string]*cue.Snapshot {
	shoot := kittiwake(t)
	return map[string]*cue.Snapshot{
		"before":  start(t, shoot, false).snapshot(),
		"waiting": start(t, shoot, true).do("go bow", 10).snapshot(),
		"settled": start(t, shoot, true).do("go bow", 10).do("trim left stroke up 2/3 stop", 2).snapshot(),
		"hands":   handed(t, shoot),
		"fading":  start(t, shoot, true).do("go bow", 10).do("go port bow by moonlight", 1.6).snapshot(),
		"dusk":    start(t, shoot, true).do("go bow at dusk", 12).do("alone lantern", 2).snapshot(),
		"dark":    start(t, shoot, true).do("go stern", 12).do("dark", 3).snapshot(),
	}
}

// handed is a cue that waits for hands: the model is to be turned.
func handed(t testing.TB, shoot *cue.Shoot) *cue.Snapshot {
	l := start(t, shoot, false).do("go bow", 5)
	for range 8 {
		l.do("confirm", 1)
	}
	return l.do("go beam", 4).snapshot()
}

func draw(t testing.TB, shoot *cue.Shoot, snap *cue.Snapshot, opt Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := SVG(&b, shoot, snap, opt); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
