package main

import (
	"bytes"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// plot runs a mix that is drawn into a file and gives what was said and the status.
func plot(t *testing.T, file string) (stdout, stderr string, status int) {
	t.Helper()
	var out, errs bytes.Buffer
	status = run(t.Context(), []string{"mix", "--profile", "rgb-light", "--colour", "5600 K", "--plot", file},
		stdio{In: strings.NewReader(""), Out: &out, Err: &errs})
	return out.String(), errs.String(), status
}

// Where no converter is installed that is said with the cure, before any work,
// and no file is left.
func TestPNGWithoutConverter(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	file := filepath.Join(t.TempDir(), "light.png")
	stdout, stderr, status := plot(t, file)
	if status != statusFailed || stdout != "" {
		t.Errorf("status %d, printed %q", status, stdout)
	}
	for _, want := range []string{"error: no converter from SVG to PNG is installed; looked for rsvg-convert", "light.svg needs none and opens in any browser; or install one: apt-get install librsvg2-bin\n"} {
		if !strings.Contains(stderr, want) {
			t.Errorf("%q is not said in %q", want, stderr)
		}
	}
	checkEmpty(t, filepath.Dir(file))
}

// fakes puts shell scripts of these names and texts alone on the path.
func fakes(t *testing.T, shell string, programs map[string]string) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range programs {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("#!"+shell+"\n"+text+"\n"), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv("PATH", dir)
}

// A converter that fails, or gives something else, makes way for the next; when
// all have failed no file is left, and an old one stays.
func TestPNGWithBrokenConverters(t *testing.T) {
	shell, err := exec.LookPath("sh")
	if err != nil || runtime.GOOS == "windows" {
		t.Skip("there is no sh to run stand-ins for the converters")
	}
	fakes(t, shell, map[string]string{"rsvg-convert": "exit 1", "inkscape": `for a; do case $a in --export-filename=*) echo text > "${a#*=}";; esac; done`})
	file := filepath.Join(t.TempDir(), "light.png")
	if err := os.WriteFile(file, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, stderr, status := plot(t, file)
	if status != statusFailed || !strings.Contains(stderr, "error: no PNG came out of rsvg-convert, inkscape\n") {
		t.Errorf("status %d, said %q", status, stderr)
	}
	if old, err := os.ReadFile(file); err != nil || string(old) != "old" {
		t.Errorf("the old file is %q, %v", old, err)
	}
	fakes(t, shell, map[string]string{
		"rsvg-convert": "exit 1",
		"convert":      `for a; do case $a in png:*) printf '\211PNG\r\n\032\n' > "${a#png:}";; esac; done`,
	})
	if _, stderr, status := plot(t, file); status != statusDone {
		t.Errorf("status %d, said %q", status, stderr)
	}
	if now, err := os.ReadFile(file); err != nil || !bytes.Equal(now, pngStart) {
		t.Errorf("the file is %q, %v", now, err)
	}
}

// A real converter gives a picture of twice the drawing's size that is not blank.
func TestPNGOfARealConverter(t *testing.T) {
	if _, err := exec.LookPath("rsvg-convert"); err != nil {
		t.Skip("rsvg-convert is not installed, so no drawing is turned into pixels: apt-get install librsvg2-bin")
	}
	file := filepath.Join(t.TempDir(), "light.png")
	if _, stderr, status := plot(t, file); status != statusDone {
		t.Fatalf("status %d, said %q", status, stderr)
	}
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	if b := img.Bounds(); b.Dx() < 1500 || b.Dy() < 1000 {
		t.Errorf("a picture of %v", b)
	}
	colours := map[[3]uint32]bool{}
	for y := 0; y < img.Bounds().Dy(); y += 7 {
		for x := 0; x < img.Bounds().Dx(); x += 7 {
			r, g, b, _ := img.At(x, y).RGBA()
			colours[[3]uint32{r, g, b}] = true
		}
	}
	if len(colours) < 50 { // the spectrum alone has more
		t.Errorf("only %d colours: a blank sheet", len(colours))
	}
}

func checkEmpty(t *testing.T, dir string) {
	t.Helper()
	left, err := os.ReadDir(dir)
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}
