package main

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"
)

// patience bounds every wait in these tests; nothing waits that long unless it
// has failed.
const patience = 20 * time.Second

// session is a command running in this process, with its streams in hand.
type session struct {
	t      *testing.T
	cancel context.CancelCauseFunc
	in     *io.PipeWriter
	out    *transcript
	err    *transcript
	status chan int
}

// start runs a command line until it ends or the test does.
func start(t *testing.T, args ...string) *session {
	t.Helper()
	ctx, cancel := context.WithCancelCause(context.Background())
	r, w := io.Pipe()
	s := &session{t: t, cancel: cancel, in: w, out: newTranscript(), err: newTranscript(), status: make(chan int, 1)}
	go func() {
		s.status <- run(ctx, args, stdio{In: r, Out: s.out, Err: s.err})
		r.Close()
		s.out.end()
		s.err.end()
	}()
	t.Cleanup(func() {
		cancel(errTerminated)
		w.Close()
	})
	return s
}

// wait gives the exit status.
func (s *session) wait() int {
	s.t.Helper()
	select {
	case status := <-s.status:
		return status
	case <-time.After(patience):
		s.t.Fatalf("still running.\nstdout:\n%s\nstderr:\n%s", s.out, s.err)
		return -1
	}
}

// interrupt is Ctrl-C.
func (s *session) interrupt() { s.cancel(context.Canceled) }

// typed sends a line as if typed.
func (s *session) typed(line string) {
	s.t.Helper()
	if _, err := io.WriteString(s.in, line+"\n"); err != nil {
		s.t.Fatal(err)
	}
}

// transcript keeps what a stream was written and lets tests wait for a line.
type transcript struct {
	mu    sync.Mutex
	text  bytes.Buffer
	ended bool
	grew  chan struct{}
}

func newTranscript() *transcript { return &transcript{grew: make(chan struct{})} }

func (tr *transcript) Write(b []byte) (int, error) {
	tr.mu.Lock()
	defer tr.mu.Unlock()
	tr.text.Write(b)
	close(tr.grew)
	tr.grew = make(chan struct{})
	return len(b), nil
}

func (tr *transcript) end() {
	tr.mu.Lock()
	defer tr.mu.Unlock()
	tr.ended = true
	close(tr.grew)
	tr.grew = make(chan struct{})
}

func (tr *transcript) String() string {
	tr.mu.Lock()
	defer tr.mu.Unlock()
	return tr.text.String()
}

// line waits for the first whole line, after the first skip ones, that match accepts.
func (tr *transcript) line(t *testing.T, skip int, what string, match func(string) bool) (line string, number int) {
	t.Helper()
	deadline := time.After(patience)
	for {
		tr.mu.Lock()
		text, ended, grew := tr.text.String(), tr.ended, tr.grew
		tr.mu.Unlock()
		scan := bufio.NewScanner(strings.NewReader(text[:strings.LastIndex(text, "\n")+1]))
		scan.Buffer(nil, 1<<20)
		for n := 0; scan.Scan(); n++ {
			if n >= skip && match(scan.Text()) {
				return scan.Text(), n
			}
		}
		if ended {
			t.Fatalf("ended without %s:\n%s", what, text)
		}
		select {
		case <-grew:
		case <-deadline:
			t.Fatalf("no %s in\n%s", what, text)
		}
	}
}

// says waits for a line that holds text.
func (tr *transcript) says(t *testing.T, text string) string {
	t.Helper()
	line, _ := tr.line(t, 0, "line with "+text, func(l string) bool { return strings.Contains(l, text) })
	return line
}

// listener starts listen and gives its address.
func listener(t *testing.T, args ...string) (*session, string) {
	t.Helper()
	s := start(t, append([]string{"listen", "--json"}, args...)...)
	line := s.err.says(t, "listening for Art-Net on ")
	addr := strings.TrimPrefix(line, "listening for Art-Net on ")
	addr, _, _ = strings.Cut(addr, ";")
	return s, addr
}

// shootWith writes a small shoot whose output block is given.
func shootWith(t *testing.T, output string) string {
	t.Helper()
	dir := t.TempDir()
	rig := `[subject]
name = "Kittiwake"
scale = 12
height = "0.18 m"
` + output + `
[[source]]
name     = "sky"
role     = "key"
profile  = "bicolour-panel-16bit"
universe = 1
address  = 1
full     = "1850 lx"

[[source]]
name     = "lantern"
role     = "accent"
profile  = "rgb-light"
universe = 1
address  = 11
full     = "400 lx"
`
	cues := `[[cue]]
name = "bow"
fade = "0.2 s"
[cue.light]
sky = "80 %"
lantern = { level = "50 %", colour = "#ff6a1a" }

[[cue]]
name = "beam"
fade = "0.2 s"
[cue.light]
sky = "20 %"
`
	for name, text := range map[string]string{"rig.toml": rig, "cues.toml": cues} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// artNetTo is an output block for one node.
func artNetTo(addr, onExit string) string {
	return `
[[output]]
name = "bench"
kind = "artnet"
to = "` + addr + `"
universes = [1]
on-exit = "` + onExit + `"
`
}

var summaryLine = regexp.MustCompile(`^sent ([1-9]\d*), received ([1-9]\d*), lost 0$`)

// checkSummary holds a demo's last line to its exact words.
func checkSummary(t *testing.T, out string) {
	t.Helper()
	lines := strings.Split(strings.TrimRight(strings.ReplaceAll(out, "\r", ""), "\n"), "\n")
	m := summaryLine.FindStringSubmatch(lines[len(lines)-1])
	if m == nil || m[1] != m[2] {
		t.Errorf("the last line is %q", lines[len(lines)-1])
	}
}
