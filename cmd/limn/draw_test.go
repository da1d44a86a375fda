package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// drawn runs draw into a file and gives what was said and the status.
func drawn(t *testing.T, file string) (stdout, stderr string, status int) {
	t.Helper()
	var out, errs bytes.Buffer
	status = run(t.Context(), []string{"draw", filepath.Join("..", "..", "testdata", "kittiwake"), "--cue", "bow", "--paper", "-o", file},
		stdio{In: strings.NewReader(""), Out: &out, Err: &errs})
	return out.String(), errs.String(), status
}

// Where no converter is installed that is said with the cure, before any work,
// and no file is left.
func TestDrawWithoutConverter(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	for _, kind := range []string{"PNG", "PDF"} {
		file := filepath.Join(t.TempDir(), "bow."+strings.ToLower(kind))
		stdout, stderr, status := drawn(t, file)
		if status != statusFailed || stdout != "" {
			t.Errorf("status %d, printed %q", status, stdout)
		}
		for _, want := range []string{
			"error: no converter from SVG to " + kind + " is installed; looked for rsvg-convert",
			"bow.svg needs none and opens in any browser, which prints it too; or install one: apt-get install librsvg2-bin\n",
		} {
			if !strings.Contains(stderr, want) {
				t.Errorf("%q is not said in %q", want, stderr)
			}
		}
		checkEmpty(t, filepath.Dir(file))
	}
}

// A converter that fails makes way for the next.
func TestDrawWithBrokenConverter(t *testing.T) {
	shell, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("there is no sh to run stand-ins for the converters")
	}
	fakes(t, shell, map[string]string{"rsvg-convert": "exit 1", "inkscape": `for a; do case $a in --export-filename=*) printf '%%PDF-1.7' > "${a#*=}";; esac; done`})
	file := filepath.Join(t.TempDir(), "bow.pdf")
	if _, stderr, status := drawn(t, file); status != statusDone {
		t.Fatalf("status %d, said %q", status, stderr)
	}
	if made, err := os.ReadFile(file); err != nil || string(made) != "%PDF-1.7" {
		t.Errorf("the file is %q, %v", made, err)
	}
	fakes(t, shell, map[string]string{"rsvg-convert": "exit 1"})
	if _, stderr, status := drawn(t, file); status != statusFailed || !strings.Contains(stderr, "error: no PDF came out of rsvg-convert\n") {
		t.Errorf("status %d, said %q", status, stderr)
	}
}

// The converter that Debian has makes a picture and a page of it.
func TestDrawConverted(t *testing.T) {
	if _, err := exec.LookPath("rsvg-convert"); err != nil {
		t.Skip("rsvg-convert is not installed")
	}
	for kind, start := range map[string][]byte{"png": pngStart, "pdf": pdfStart} {
		file := filepath.Join(t.TempDir(), "bow."+kind)
		if _, stderr, status := drawn(t, file); status != statusDone || stderr != "" {
			t.Fatalf("status %d, said %q", status, stderr)
		}
		if made, err := os.ReadFile(file); err != nil || !bytes.HasPrefix(made, start) || len(made) < 10_000 {
			t.Errorf("%s: %d bytes, %v", kind, len(made), err)
		}
	}
}
