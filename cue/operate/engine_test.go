package operate_test

import (
	"context"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"

	"limn/cue"
	"limn/cue/operate"
	"limn/fixtures"
)

func engine(t testing.TB, s *cue.Shoot, opt operate.Options) *operate.Engine {
	t.Helper()
	e, err := operate.New(s, opt)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func do(t *testing.T, e *operate.Engine, text string) operate.Reply {
	t.Helper()
	c, err := operate.Parse(text, shoot("bow", "beam", "stern"))
	if err != nil {
		t.Fatal(err)
	}
	return e.Do(c)
}

func TestNothingIsSentBeforeTheFirstCommand(t *testing.T) {
	e := engine(t, shoot("bow", "beam"), operate.Options{})
	if got := e.Universes(); !slices.Equal(got, []int{1, 4}) {
		t.Fatalf("universes %v", got)
	}
	out := frames(2)
	out[0][0] = 99
	for k := range int64(3) {
		if e.Fill(k, out) {
			t.Error("a frame before the first command")
		}
	}
	if out[0][0] != 99 {
		t.Error("Fill writes before the first command")
	}
	if r := do(t, e, "back"); !r.Refused || r.K != 3 {
		t.Errorf("back: %+v", r)
	}
	if e.Fill(3, out) {
		t.Error("a refused command makes it live")
	}
	if r := do(t, e, "next"); r.Refused || r.K != 4 || len(r.Prompts) != 1 {
		t.Errorf("next: %+v", r)
	}
	if !e.Fill(4, out) {
		t.Error("no frame after the first command")
	}
	if e.NextFrame() != 5 {
		t.Errorf("the next frame is %d", e.NextFrame())
	}
}

// A command given for a later frame acts in just that frame, whichever frames
// are filled, and those of one frame act in the order they were given.
func TestDoAtActsInItsFrame(t *testing.T) {
	s := shoot("bow", "beam", "stern")
	program := []struct {
		k    int64
		text string
	}{{30, "next"}, {10, "next"}, {30, "dark"}, {30, "dark off"}, {50, "hold"}, {60, "resume"}}
	e, direct := engine(t, s, operate.Options{}), engine(t, s, operate.Options{})
	for _, c := range program {
		cmd, _ := operate.Parse(c.text, s)
		if r := e.DoAt(c.k, cmd); r.K != c.k || r.Refused {
			t.Errorf("%s: %+v", c.text, r)
		}
	}
	slices.SortStableFunc(program, func(a, b struct {
		k    int64
		text string
	},
	) int {
		return int(a.k - b.k)
	})
	got, want := frames(2), frames(2)
	for k := int64(0); k < 200; k++ {
		for len(program) > 0 && program[0].k == k {
			do(t, direct, program[0].text)
			program = program[1:]
		}
		live := direct.Fill(k, want)
		if k%7 == 3 && k != 0 {
			continue // a late frame is left out
		}
		if e.Fill(k, got) != live || live && !slices.Equal(got, want) {
			t.Fatalf("frame %d differs", k)
		}
	}
	// What is past acts at once.
	if r := e.DoAt(20, operate.Command{Verb: operate.Dark}); r.K != e.NextFrame() {
		t.Errorf("a command for a frame long past acts in frame %d", r.K)
	}
}

// A command given live acts before what is queued for later.
func TestDoComesBeforeWhatIsQueued(t *testing.T) {
	s := shoot("bow", "beam", "stern")
	e := engine(t, s, operate.Options{AutoConfirm: true})
	e.DoAt(0, operate.Command{Verb: operate.Next})
	e.DoAt(100, operate.Command{Verb: operate.Next})
	out := frames(2)
	e.Fill(0, out)
	do(t, e, "go beam")
	for k := int64(1); k < 300; k++ {
		e.Fill(k, out)
	}
	var snap cue.Snapshot
	e.Snapshot(&snap)
	if snap.CueName != "stern" || snap.Motion != cue.Settled {
		t.Errorf("next after go beam leads to %q, %s", snap.CueName, snap.Motion)
	}
}

// A long program is taken in at once: queueing does not grow with what waits.
func TestALongProgram(t *testing.T) {
	s := shoot("bow", "beam", "stern")
	e := engine(t, s, operate.Options{AutoConfirm: true})
	const n = 20_000
	for k := range int64(n) {
		e.DoAt(3+k, operate.Command{Verb: []operate.Verb{operate.Next, operate.Next, operate.Back, operate.Dark}[k%4]})
	}
	do(t, e, "go stern")
	out := frames(2)
	for k := range int64(n + 10) {
		e.Fill(k, out)
	}
	if r := do(t, e, "next"); r.K != n+10 {
		t.Errorf("after the program the next command acts in frame %d", r.K)
	}
}

func TestAutoConfirm(t *testing.T) {
	e := engine(t, shoot("bow", "beam"), operate.Options{AutoConfirm: true})
	r := do(t, e, "next")
	if len(r.Prompts) != 1 || !strings.Contains(r.Prompts[0], "turn the model") {
		t.Errorf("what is taken as done is not told: %+v", r)
	}
	out := frames(2)
	for k := range int64(200) {
		e.Fill(k, out)
	}
	var snap cue.Snapshot
	e.Snapshot(&snap)
	if snap.Motion != cue.Settled || len(snap.Prompts) != 0 {
		t.Errorf("%s, prompts %q", snap.Motion, snap.Prompts)
	}
}

func TestACueThatIsNotThere(t *testing.T) {
	e := engine(t, shoot("bow"), operate.Options{})
	if r := e.Do(operate.Command{Verb: operate.Go, Name: "gone"}); !r.Refused || !strings.Contains(r.Notices[0], `"gone"`) {
		t.Errorf("%+v", r)
	}
	if r := e.Do(operate.Command{}); !r.Refused {
		t.Errorf("no verb: %+v", r)
	}
}

func TestNewNeedsAResolvedShoot(t *testing.T) {
	s := shoot("bow")
	s.Resolved = nil
	if _, err := operate.New(s, operate.Options{}); err == nil {
		t.Error("an unresolved shoot runs")
	}
	s = shoot("bow")
	s.Rig.Sources[bulb].Addresses = []int{513}
	if _, err := operate.New(s, operate.Options{}); err == nil {
		t.Error("a rig beyond its universe runs")
	}
}

func TestSnapshot(t *testing.T) {
	e := engine(t, shoot("bow", "beam"), operate.Options{})
	var snap cue.Snapshot
	e.Snapshot(&snap)
	if snap.K != -1 || snap.Cue != -1 || snap.Next != 0 || snap.CueName != "" {
		t.Errorf("before the first frame: %+v", snap)
	}
	do(t, e, "next")
	out := frames(2)
	for k := range int64(200) {
		e.Fill(k, out)
	}
	do(t, e, "back") // says it stays
	e.Snapshot(&snap)
	if snap.K != 199 || snap.Cue != 0 || snap.CueName != "bow" || snap.Next != 1 ||
		snap.Motion != cue.Waiting || snap.Progress != 1 {
		t.Errorf("%+v", snap)
	}
	if len(snap.Prompts) != 1 || len(snap.Notices) != 1 || !strings.Contains(snap.Notices[0], "first cue") {
		t.Errorf("prompts %q, notices %q", snap.Prompts, snap.Notices)
	}
	key, fill, hand := snap.Sources[sky], snap.Sources[bulb], snap.Sources[torch]
	if key.Asked.Y != 0.5 || key.Lux != 500 || key.KeyStops != 0 {
		t.Errorf("the key: %+v", key)
	}
	if math.Abs(key.Reached.Y-0.5) > 1e-4 {
		t.Errorf("the key reaches Y %g of 0.5", key.Reached.Y)
	}
	if fill.Lux != 125 || fill.KeyStops != -2 {
		t.Errorf("the fill: %+v", fill)
	}
	if !math.IsNaN(hand.Lux) || !math.IsNaN(hand.KeyStops) || hand.Reached.Y != 0 {
		t.Errorf("the torch, never measured: %+v", hand)
	}

	// It shows the latest filled frame, not what is to come.
	do(t, e, "next")
	e.Snapshot(&snap)
	if snap.Cue != 0 || snap.K != 199 {
		t.Errorf("a command of the next frame shows in this one: %+v", snap)
	}
	e.Fill(200, out)
	e.Snapshot(&snap)
	if snap.Cue != 1 || snap.Next != -1 || snap.Motion != cue.Waiting {
		t.Errorf("%+v", snap)
	}
	for range 2 * operate.MaxMessages {
		do(t, e, "next") // at the end: refused
	}
	e.Snapshot(&snap)
	if len(snap.Notices) > operate.MaxMessages {
		t.Errorf("%d notices pile up", len(snap.Notices))
	}
}

// Commands, snapshots and warming from all sides while frames are filled: the
// frames are those of the same commands played again on a virtual clock.
func TestHammered(t *testing.T) {
	s := shoot("bow", "beam", "stern")
	e := engine(t, s, operate.Options{})
	type given struct {
		k       int64
		command operate.Command
	}
	var (
		order sync.Mutex // commands are noted in the order they act
		log   []given
	)
	verbs := []operate.Command{
		{Verb: operate.Next},
		{Verb: operate.Back},
		{Verb: operate.Go, Name: "stern"},
		{Verb: operate.Hold},
		{Verb: operate.Resume},
		{Verb: operate.Confirm},
		{Verb: operate.Dark},
		{Verb: operate.DarkOff},
	}
	stop := make(chan struct{})
	var wg sync.WaitGroup
	for n := range 3 {
		wg.Go(func() {
			for i := 0; ; i++ {
				select {
				case <-stop:
					return
				default:
				}
				c := verbs[(i*(2*n+1)+n)%len(verbs)]
				order.Lock()
				r := e.Do(c)
				log = append(log, given{r.K, c})
				order.Unlock()
			}
		})
	}
	wg.Go(func() {
		var snap cue.Snapshot
		for {
			select {
			case <-stop:
				return
			default:
				e.Snapshot(&snap)
				if snap.K > e.NextFrame() {
					t.Error("a snapshot of a frame to come")
				}
			}
		}
	})
	wg.Go(func() { e.Warm(context.Background()) })

	const n = 2000
	var played [n][2][fixtures.UniverseSize]byte
	var live [n]bool
	for k := range int64(n) {
		live[k] = e.Fill(k, played[k][:])
	}
	close(stop)
	wg.Wait()

	again := engine(t, s, operate.Options{})
	out := frames(2)
	for k := range int64(n) {
		for len(log) > 0 && log[0].k == k {
			again.DoAt(k, log[0].command)
			log = log[1:]
		}
		if again.Fill(k, out) != live[k] || live[k] && !slices.Equal(out, played[k][:]) {
			t.Fatalf("frame %d differs from its replay", k)
		}
	}
}

func TestWarmEndsWithItsContext(t *testing.T) {
	e := engine(t, shoot("bow", "beam"), operate.Options{})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	e.Warm(ctx)
	e.Warm(context.Background())
}
