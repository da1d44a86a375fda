//go:build unix

package capture_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"limn/cue"
	"limn/cue/capture"
	"limn/fixtures"
	"limn/fixtures/quantity"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

func picture() capture.Picture {
	s := &cue.Shoot{
		Rig:  &fixtures.Rig{Sources: []fixtures.Source{{Name: "left stroke"}}},
		Cues: []cue.Cue{{Name: "bow"}},
	}
	q := &cue.Sequence{Name: "harbour"}
	shots := []cue.Shot{{}, {
		Cue: 0, Azimuth: 35, HasTurn: true, Alone: 0, Light: "left stroke", Pass: 3,
		Focus: quantity.Length{Metres: 0.482}, FocusNo: 2, Frame: 1, Exposure: 1, Name: "harbour-0002-bow-p03-left-stroke-f002",
	}}
	return capture.Of(s, q, shots, 1, 1, 4711)
}

func TestPrompt(t *testing.T) {
	if got, want := picture().Prompt(), "frame 2 of 2, focus 0.482 m, left stroke alone, image 4711: fire, confirm"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// A command is told all that is known of the picture, and nothing of the shell's can get in between.
func TestEnvironment(t *testing.T) {
	out := filepath.Join(t.TempDir(), "told")
	p := picture()
	p.Cue = "bow; rm -rf $HOME `id`\n'\""
	if err := capture.Command("env -0 > '"+out+"'", capture.Options{}).Take(t.Context(), p); err != nil {
		t.Fatal(err)
	}
	src, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	var told []string
	for _, pair := range strings.Split(string(src), "\x00") {
		if strings.HasPrefix(pair, "LIMN_") {
			told = append(told, pair)
		}
	}
	slices.Sort(told)
	want := []string{
		"LIMN_ANGLE=35", "LIMN_CUE=" + p.Cue, "LIMN_EXPOSURE=1", "LIMN_FOCUS=0.482", "LIMN_FRAME=1", "LIMN_IMAGE=4711",
		"LIMN_NAME=harbour-0002-bow-p03-left-stroke-f002", "LIMN_PASS=left stroke", "LIMN_SEQUENCE=harbour",
		"LIMN_STEP=2", "LIMN_STEPS=2", "LIMN_TAKE=1",
	}
	if !slices.Equal(told, want) {
		t.Errorf("told\n%q\nwant\n%q", told, want)
	}
}

func TestFailures(t *testing.T) {
	for _, c := range []struct{ line, want string }{
		{"echo 'no card' >&2; echo >&2; exit 3", "no picture: no card"},
		{"echo first >&2; printf 'second\\033[2J\\r' >&2; exit 1", "no picture: second [2J"},
		{"exit 7", "no picture: the command ended with exit status 7"},
		{"yes x | head -c 100000 >&2; echo the end >&2; false", "no picture: the end"},
		{"head -c 1000 /dev/zero | tr '\\0' y >&2; false", "no picture: " + strings.Repeat("y", capture.MaxReason) + "..."},
		{"  ", "no picture: there is no command to take it with"},
	} {
		err := capture.Command(c.line, capture.Options{}).Take(t.Context(), picture())
		var failed *capture.FailedError
		if !errors.As(err, &failed) || err.Error() != c.want {
			t.Errorf("%s: %v, want %q", c.line, err, c.want)
		}
	}
	err := capture.Command("limn-no-such-command", capture.Options{}).Take(t.Context(), picture())
	if err == nil || !regexp.MustCompile(`limn-no-such-command.*not found`).MatchString(err.Error()) {
		t.Errorf("of a command nobody has: %v", err)
	}
}

// At its time-out a command is ended with all it has started: else the pipe of the child that sleeps
// on would keep the reason open for as long.
func TestTimeout(t *testing.T) {
	pid := filepath.Join(t.TempDir(), "pid")
	err := capture.Command("sleep 600 & echo $! > '"+pid+"'; wait", capture.Options{Timeout: 300 * time.Millisecond}).Take(t.Context(), picture())
	if !errors.Is(err, context.DeadlineExceeded) || !strings.Contains(err.Error(), "longer than 300ms") {
		t.Fatalf("%v", err)
	}
	child, err := os.ReadFile(pid)
	if err != nil {
		t.Fatal(err)
	}
	stat, err := os.ReadFile("/proc/" + strings.TrimSpace(string(child)) + "/stat")
	if err == nil && !strings.Contains(string(stat), ") Z ") { // ended, though nobody has waited for it yet
		t.Errorf("its child goes on: %s", stat)
	}
}

func TestCalledOff(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	err := capture.Command("true", capture.Options{}).Take(ctx, picture())
	if !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	if err := (capture.Dry{}).Take(t.Context(), picture()); err != nil {
		t.Error(err)
	}
}

// gate lets a picture be taken when it is told to.
type gate struct{ open chan error }

func (g *gate) Take(ctx context.Context, _ capture.Picture) error {
	select {
	case err := <-g.open:
		return err
	case <-ctx.Done():
		return ctx.Err()
	}
}

// Who asks never waits; pictures are taken one after the other; what is being taken when it stops is called off.
func TestRunner(t *testing.T) {
	g := &gate{make(chan error)}
	r := capture.NewRunner(t.Context(), g)
	type result struct {
		step int
		err  error
	}
	done := make(chan result, 3)
	tell := func(p capture.Picture, err error) { done <- result{p.Step, err} }
	if !r.Take(capture.Picture{Step: 1}, tell) {
		t.Fatal("the first is refused")
	}
	failure := errors.New("no card")
	g.open <- failure
	if got := <-done; got.step != 1 || !errors.Is(got.err, failure) {
		t.Errorf("%+v", got)
	}
	if !r.Take(capture.Picture{Step: 2}, tell) {
		t.Fatal("the second is refused")
	}
	g.open <- nil
	if got := <-done; got.step != 2 || got.err != nil {
		t.Errorf("%+v", got)
	}
	// Asked for faster than they are taken: refused, not queued without end.
	taken := 0
	var once sync.Once
	for range 100 {
		if r.Take(capture.Picture{Step: 3}, func(_ capture.Picture, err error) { once.Do(func() { done <- result{3, err} }) }) {
			taken++
		}
	}
	if taken < 1 || taken > 2 {
		t.Errorf("%d wait to be taken", taken)
	}
	r.Stop()
	if r.Take(capture.Picture{}, tell) {
		t.Error("it goes on after it was stopped")
	}
}

func ExampleCommand() {
	p := capture.Picture{Name: "harbour-0001-bow", Cue: "bow", Step: 1, Steps: 7}
	err := capture.Command(`echo "the card is full" >&2; exit 1`, capture.Options{}).Take(context.Background(), p)
	fmt.Println(err)
	// Output:
	// no picture: the card is full
}
