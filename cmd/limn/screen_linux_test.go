package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"limn/cmd/internal/screen"
	"limn/dmx/dmxtest"
)

// sitting is limn as a process of its own on a terminal of its own.
type sitting struct {
	*process
	t     *testing.T
	pty   *dmxtest.PTY
	was   unix.Termios
	shows *transcript
	read  chan struct{} // closed once all was read
}

// sitDown starts limn on a pseudo-terminal of 100 columns and 30 lines. keys is the text of the
// operator's own keys file, if there is one.
func sitDown(t *testing.T, keys string, args ...string) *sitting {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	config := t.TempDir()
	if keys != "" {
		if err := os.Mkdir(filepath.Join(config, "limn"), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(config, "limn", keysFile), []byte(keys), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	s := &sitting{t: t, pty: dmxtest.OpenPTY(t), shows: newTranscript(), read: make(chan struct{})}
	terminal, err := os.OpenFile(s.pty.Name, os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	if err := unix.IoctlSetWinsize(int(terminal.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Col: 100, Row: 30}); err != nil {
		t.Fatal(err)
	}
	s.was = *s.pty.Settings(t)
	s.process = &process{Cmd: &exec.Cmd{
		Path: self, Args: append([]string{"limn"}, args...), Stdin: terminal, Stdout: terminal, Stderr: terminal,
		Env:         append(os.Environ(), "TERM=xterm-256color", "XDG_CONFIG_HOME="+config, "NO_COLOR=1"),
		SysProcAttr: &syscall.SysProcAttr{Setsid: true, Setctty: true},
	}}
	if err := s.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		io.Copy(s.shows, s.pty.Master)
		close(s.read)
	}()
	limit := time.AfterFunc(patience, func() { s.Process.Kill() })
	t.Cleanup(func() {
		limit.Stop()
		s.Process.Kill()
		s.Wait()
		terminal.Close()
		<-s.read
	})
	return s
}

// press sends keys as a terminal does.
func (s *sitting) press(keys string) {
	s.t.Helper()
	if _, err := io.WriteString(s.pty.Master, keys); err != nil {
		s.t.Fatal(err)
	}
}

// shown waits until the terminal was sent a text.
func (s *sitting) shown(text string) {
	s.t.Helper()
	comesTrue(s.t, func() bool { return strings.Contains(s.shows.String(), text) }, func() string {
		return "never shown: " + text + "\n" + s.shows.String()
	})
}

// comesTrue waits until something holds.
func comesTrue(t *testing.T, holds func() bool, otherwise func() string) {
	t.Helper()
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	limit := time.After(patience)
	for !holds() {
		select {
		case <-tick.C:
		case <-limit:
			t.Fatal(otherwise())
		}
	}
}

// restored checks that the terminal is as it was before.
func (s *sitting) restored() {
	s.t.Helper()
	if now := *s.pty.Settings(s.t); now != s.was {
		s.t.Errorf("the terminal's settings were\n%+v and are\n%+v", s.was, now)
	}
	// What was written last may still be on its way.
	comesTrue(s.t, func() bool {
		text := s.shows.String()
		return strings.Count(text, "\x1b[?1049h") == strings.Count(text, "\x1b[?1049l") &&
			strings.LastIndex(text, "\x1b[?25l") <= strings.LastIndex(text, showCursor)
	}, func() string { return "the terminal is left as it was used:\n" + s.shows.String() })
}

const (
	keyPageDown = "\x1b[6~"
	keyUp       = "\x1b[A"
	keyLeft     = "\x1b[D"
	keyTab      = "\t"
)

// A whole session: a clicker brings the cue, one light is warmed and kept, and of the files one
// line has changed; then the table of keys, and the end.
func TestScreenSession(t *testing.T) {
	receiver, addr := listener(t, "--artnet", "127.0.0.1:0")
	dir := shootWith(t, artNetTo(addr, "leave"))
	cues := filepath.Join(dir, "cues.toml")
	before, err := os.ReadFile(cues)
	if err != nil {
		t.Fatal(err)
	}
	s := sitDown(t, "", "run", dir)
	s.shown("\x1b[?1049h")
	s.shown("not begun")
	s.press(keyPageDown)
	receiver.out.says(t, `"universes":{"1":{`)
	s.shown("settled")
	s.press(keyLeft + keyLeft)
	s.shown("20 mired")
	s.press("k")
	s.shown("kept")
	comesTrue(t, func() bool {
		after, err := os.ReadFile(cues)
		return err == nil && !bytes.Equal(before, after)
	}, func() string { return "nothing was kept\n" + s.shows.String() })
	after, err := os.ReadFile(cues)
	if err != nil {
		t.Fatal(err)
	}
	if n := changedLines(string(before), string(after)); n != 1 {
		t.Errorf("%d lines changed:\n%s", n, after)
	}
	s.press("t" + "trim ski up 1\r")
	s.shown("did you mean")
	s.press("\x15" + "status\r")
	s.shown("Esc closes")
	s.press("?")
	s.shown("Keys:")
	s.press("qq")
	s.shown("ending; bench: last frame three times, then silence")
	if st := s.ended(); st.ExitStatus() != statusDone {
		t.Errorf("status %v", s.ProcessState)
	}
	s.restored()
}

// changedLines counts the lines that two texts of as many lines do not share.
func changedLines(a, b string) int {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	n := max(len(x), len(y)) - min(len(x), len(y))
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			n++
		}
	}
	return n
}

// However a run ends, the terminal is as it was, and the status is that of a run line by line.
func TestScreenEnds(t *testing.T) {
	_, addr := listener(t, "--artnet", "127.0.0.1:0")
	for _, c := range []struct {
		name   string
		end    func(s *sitting)
		status int
	}{
		{"Ctrl-C", func(s *sitting) { s.press("\x03") }, statusInterrupted},
		{"SIGTERM", func(s *sitting) { s.Process.Signal(syscall.SIGTERM) }, statusDone},
		{"SIGHUP", func(s *sitting) { s.Process.Signal(syscall.SIGHUP) }, statusDone},
		{"quit, typed", func(s *sitting) { s.press("tquit\r") }, statusDone},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := sitDown(t, "", "run", shootWith(t, artNetTo(addr, "leave")))
			s.shown("not begun")
			s.press(keyPageDown)
			s.shown("fading")
			c.end(s)
			if st := s.ended(); !st.Exited() || st.ExitStatus() != c.status {
				t.Errorf("status %v, want %d", s.ProcessState, c.status)
			}
			s.restored()
			s.shown("ending; bench")
		})
	}
}

// --lines goes line by line at a terminal, and a terminal that cannot be drawn on does too.
func TestNoScreen(t *testing.T) {
	_, addr := listener(t, "--artnet", "127.0.0.1:0")
	s := sitDown(t, "", "run", shootWith(t, artNetTo(addr, "leave")), "--lines")
	s.shown("nothing is sent before the first command")
	s.press("next\n")
	s.shown("bow: settled")
	s.press("quit\n")
	if st := s.ended(); st.ExitStatus() != statusDone {
		t.Errorf("status %v", s.ProcessState)
	}
	if text := s.shows.String(); strings.Contains(text, "\x1b[") {
		t.Errorf("the line mode draws:\n%q", text)
	}
}

// A question before the light plays is answered by a line, and the screen gets every key after
// it. What is not plugged in is told on the screen.
func TestScreenAfterAQuestion(t *testing.T) {
	s := sitDown(t, "", "run", "--do", "0s next", shootWith(t, `
[[output]]
name = "adapter"
kind = "usb widget"
to = "`+t.TempDir()+`/adapter"
universes = [1]
`))
	s.shown("[y/N]")
	s.press("y\n")
	s.shown("settled")
	s.shown("! adapter DOWN")
	for range 3 {
		s.press(keyTab + keyUp)
	}
	s.shown("trims not kept")
	s.press("qq")
	s.shown("the light does not get out")
	if st := s.ended(); st.ExitStatus() != statusUnreachable {
		t.Errorf("status %v", s.ProcessState)
	}
	s.restored()
}

// A screen that fails takes nothing with it: the light goes on, line by line.
func TestAScreenThatFails(t *testing.T) {
	t.Setenv("TERM", "xterm")
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	failed := make(chan struct{})
	showScreen = func(context.Context, screen.Options) error {
		defer close(failed)
		return errors.New("the screen failed: of itself")
	}
	defer func() { showScreen = screen.Run }()
	receiver, addr := listener(t, "--artnet", "127.0.0.1:0")
	pty := dmxtest.OpenPTY(t)
	terminal, err := os.OpenFile(pty.Name, os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	shows := newTranscript()
	read := make(chan struct{})
	go func() {
		io.Copy(shows, pty.Master)
		close(read)
	}()
	status := make(chan int, 1)
	go func() {
		status <- run(t.Context(), []string{"run", shootWith(t, artNetTo(addr, "leave"))}, stdio{In: terminal, Out: terminal, Err: terminal})
	}()
	<-failed
	shows.says(t, "the light goes on; from here on line by line")
	io.WriteString(pty.Master, "next\n")
	receiver.out.says(t, `"universes":{"1":{`)
	shows.says(t, "bow: settled")
	io.WriteString(pty.Master, "quit\n")
	if got := <-status; got != statusDone {
		t.Errorf("status %d\n%s", got, shows)
	}
	pty.Master.Close() // hangs up on whoever still reads
	<-read
	terminal.Close()
}

// The operator's own keys, and each slip in them.
func TestScreenKeys(t *testing.T) {
	_, addr := listener(t, "--artnet", "127.0.0.1:0")
	s := sitDown(t, "[keys]\nnext = \"z\"\n[say]\ny = \"trim {light} down 1 stop\"\n", "run", shootWith(t, artNetTo(addr, "leave")))
	s.shown("not begun")
	s.press("z")
	s.shown("settled")
	s.press("y")
	s.shown("trims not kept")
	s.press("qq")
	if st := s.ended(); st.ExitStatus() != statusDone {
		t.Errorf("status %v", s.ProcessState)
	}

	s = sitDown(t, "[keys]\nnxt = \"z\"\n", "run", shootWith(t, artNetTo(addr, "leave")))
	s.shown(`keys.toml:2:1: no key does "nxt"; did you mean "next"?`)
	s.shown("--lines runs without")
	if st := s.ended(); st.ExitStatus() != statusFiles {
		t.Errorf("status %v", s.ProcessState)
	}
}
