package serial

import (
	"fmt"
	"os"
	"os/user"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	goserial "go.bug.st/serial"

	"limn/dmx/dmxtest"
)

// The program that holds a port is named, if the system tells.
func TestHolder(t *testing.T) {
	s := newTree(t)
	port := filepath.Join(s.root, "dev/ttyUSB0")
	s.file("dev/ttyUSB0", "")
	s.file("proc/1/comm", "init\n")
	s.file("proc/1/fd/0", "")
	s.file("proc/self/fd/0", "")
	s.file("proc/4711/comm", "modem\x1bmanager\n")
	if err := os.MkdirAll(filepath.Join(s.root, "proc/4711/fd"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(port, filepath.Join(s.root, "proc/4711/fd/9")); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(s.root, "by-id")
	if err := os.Symlink(port, link); err != nil {
		t.Fatal(err)
	}
	proc := filepath.Join(s.root, "proc")
	for _, path := range []string{port, link} {
		if got := holderIn(proc, path, 99); got != "modemmanager (process 4711)" {
			t.Errorf("%s is held by %q", path, got)
		}
	}
	if got := holderIn(proc, port, 4711); got != "" {
		t.Errorf("it is ourselves, and not %q", got)
	}
	if got := holderIn(proc, filepath.Join(s.root, "dev/other"), 99); got != "" {
		t.Errorf("a port that nobody holds is held by %q", got)
	}
	if got := holderIn(filepath.Join(s.root, "nowhere"), port, 99); got != "" {
		t.Errorf("without a tree it is held by %q", got)
	}
}

// The real thing: this process has a port open, which another would be told of.
func TestHolderOfARealPort(t *testing.T) {
	pty := dmxtest.OpenPTY(t)
	p, err := goserial.Open(pty.Name, &goserial.Mode{BaudRate: lineSpeed})
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	if got, want := holderIn("/proc", pty.Name, -1), fmt.Sprintf("(process %d)", os.Getpid()); !strings.HasSuffix(got, want) {
		t.Errorf("%s is held by %q, want %s", pty.Name, got, want)
	}
}

// A port that is open for its holder alone is busy for every user but root.
func TestBusyPort(t *testing.T) {
	if os.Getuid() == 0 {
		t.Skip("root opens what is taken")
	}
	pty := dmxtest.OpenPTY(t)
	p, err := goserial.Open(pty.Name, &goserial.Mode{BaudRate: lineSpeed})
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	o, err := NewOutput(Config{Name: "bench", Port: pty.Name, Universe: 1})
	if err != nil {
		t.Fatal(err)
	}
	if err := o.Send(frame(1)); err == nil || !strings.Contains(o.Status().Text, "in use by another program") {
		t.Errorf("%v, %+v", err, o.Status())
	}
}

// The cure for a port one may not open names the group that may.
func TestPermissionNamesTheGroup(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ttyUSB0")
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if got := words(path, syscall.EACCES); !strings.Contains(got, "(often dialout)") {
		t.Errorf("a port that no group may use: %q", got)
	}
	g, err := user.LookupGroup("dialout")
	if err != nil {
		t.Skip("this system has no group dialout")
	}
	gid := 0
	if _, err := fmt.Sscan(g.Gid, &gid); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(path, 0o660); err != nil {
		t.Fatal(err)
	}
	if err := os.Chown(path, -1, gid); err != nil {
		t.Skipf("not in the group dialout: %v", err)
	}
	if got := words(path, syscall.EACCES); !strings.Contains(got, "into the group dialout (sudo usermod -aG dialout $USER)") {
		t.Errorf("a port of the group: %q", got)
	}
}
