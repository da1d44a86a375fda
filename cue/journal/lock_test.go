package journal

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func asBusy(err error, pid int) bool {
	busy, ok := errors.AsType[*BusyError](err)
	return ok && busy.PID == pid && strings.Contains(err.Error(), fmt.Sprintf("process %d", pid))
}

func TestLock(t *testing.T) {
	dir := t.TempDir()
	l, err := Acquire(dir)
	if err != nil || l.Stale {
		t.Fatal(l, err)
	}
	if _, err := Acquire(dir); !asBusy(err, os.Getpid()) {
		t.Errorf("second: %v", err)
	}
	if err := l.Release(); err != nil {
		t.Fatal(err)
	}
	l, err = Acquire(dir)
	if err != nil || l.Stale {
		t.Fatalf("after a release: %+v, %v", l, err)
	}
	if err := l.Release(); err != nil {
		t.Fatal(err)
	}
	if err := (*Lock)(nil).Release(); err != nil {
		t.Error(err)
	}
}

// Whatever stands in the lock's file, a lock nobody holds is free.
func TestLockWithStrangeContent(t *testing.T) {
	for _, content := range []string{"", "{", `{"pid":-1}`, `{"pid":1}`, strings.Repeat("x", 2*maxLock)} {
		dir := t.TempDir()
		if err := os.MkdirAll(Folder(dir), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(Folder(dir), "lock"), []byte(content), 0o666); err != nil {
			t.Fatal(err)
		}
		l, err := Acquire(dir)
		if err != nil {
			t.Errorf("%.20q: %v", content, err)
			continue
		}
		if l.Stale != (content != "") {
			t.Errorf("%.20q: stale %v", content, l.Stale)
		}
		if err := l.Release(); err != nil {
			t.Error(err)
		}
	}
}

func TestLockWithoutFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(dir, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	_, err := Acquire(dir)
	if _, busy := errors.AsType[*BusyError](err); err == nil || busy {
		t.Errorf("a lock in a file: %v", err)
	}
}
