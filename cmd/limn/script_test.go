package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"limn": main})
}

// TestScripts runs every command as a stranger would: one script for each
// subcommand, and one for each way of going wrong. Each starts in a folder with a
// copy of the Kittiwake shoot.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			return os.CopyFS(filepath.Join(env.WorkDir, "kittiwake"), os.DirFS(kittiwakeDir))
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "replace": replace, "empty": empty},
	})
}

// kittiwakeDir is the shoot that the program carries.
var kittiwakeDir = filepath.Join("..", "..", "testdata", "kittiwake")

// exits runs a command and checks its exit status: exits 3 limn check bad.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS COMMAND...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	var exit *exec.ExitError
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &exit) {
		got = exit.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// replace puts a new text in place of the first occurrence of an old one:
// replace FILE OLD NEW.
func replace(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: replace FILE OLD NEW")
	}
	text := ts.ReadFile(args[0])
	if !strings.Contains(text, args[1]) {
		ts.Fatalf("%s does not hold %q", args[0], args[1])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Replace(text, args[1], args[2], 1)), 0o666))
}

// empty checks that a folder holds nothing: empty DIR.
func empty(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: empty DIR")
	}
	left, err := os.ReadDir(ts.MkAbs(args[0]))
	ts.Check(err)
	if len(left) > 0 {
		ts.Fatalf("%s holds %v", args[0], left)
	}
}
