package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"limn/cmd/internal/sheet"
	"limn/cue/files"
)

// A PDF comes out of a browser or not at all; without one the cure is told before any
// work is done.
func TestSheetPDF(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("the browser of this test is a shell script")
	}
	bin := t.TempDir()
	t.Setenv("PATH", bin)
	_, err := newSheetFile("wall.pdf", nil)
	var f *failure
	if !errors.As(err, &f) || f.status != statusFailed || !strings.Contains(f.hints[0], "-o wall.html opens in any browser") {
		t.Fatalf("without a browser: %v", err)
	}
	name := filepath.Join(t.TempDir(), "wall.pdf")
	run := func(script string) error {
		t.Helper()
		if err := os.WriteFile(filepath.Join(bin, "chromium"), []byte("#!/bin/sh\n"+script), 0o700); err != nil { //nolint:gosec // it is run
			t.Fatal(err)
		}
		file, err := newSheetFile(name, nil)
		if err != nil {
			t.Fatal(err)
		}
		return file.write(t.Context(), []byte("<html>"))
	}
	const find = `for a in "$@"; do case "$a" in --print-to-pdf=*) to="${a#--print-to-pdf=}";; --user-data-dir=*) own="${a#--user-data-dir=}";; esac; done` + "\n"
	if err := run("exit 1"); err == nil {
		t.Error("a browser that fails made a PDF")
	}
	if err := run(find + `echo nothing > "$to"`); err == nil {
		t.Error("what is no PDF was taken for one")
	}
	if _, err := os.Stat(name); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a file was left: %v", err)
	}
	if err := run(find + `[ -n "$own" ] && echo "%PDF-1.7" > "$to"`); err != nil {
		t.Fatal(err)
	}
	if made, err := os.ReadFile(name); err != nil || !bytes.HasPrefix(made, pdfStart) {
		t.Errorf("%q %v", made, err)
	}
}

// An approved frame stands on the page as it was attached; what a page cannot show is
// told and left out, and nothing outside of the folder is read.
func TestApprovedFrame(t *testing.T) {
	dir := t.TempDir()
	outside := filepath.Join(filepath.Dir(dir), "outside.png")
	png := append(bytes.Clone(pngStart), make([]byte, 32)...)
	for name, data := range map[string][]byte{filepath.Join(dir, "frame.png"): png, filepath.Join(dir, "frame.raw"): []byte("II*\x00raw"), outside: png} {
		if err := os.WriteFile(name, data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		file string
		kind string
		size int64
		want bool
		said string
	}{
		{"frame.png", files.ApprovedFrame, 40, true, ""},
		{"frame.png", files.SetPhoto, 40, false, ""},
		{"frame.raw", files.ApprovedFrame, 7, false, "nothing a page can show"},
		{"frame.png", files.ApprovedFrame, maxFrame + 1, false, "too large for a page"},
		{"../outside.png", files.ApprovedFrame, 40, false, "cannot be read"},
		{"gone.png", files.ApprovedFrame, 40, false, "cannot be read"},
	} {
		var said bytes.Buffer
		a := &files.Approval{Cue: "bow", Who: "the first", At: time.Date(2026, 5, 4, 9, 31, 0, 0, time.UTC), Pictures: []files.Picture{{Kind: c.kind, Name: "frame", File: c.file, Bytes: c.size}}}
		img := approvedFrame(dir, a, stdio{Err: &said})
		if (img != nil) != c.want || !strings.Contains(said.String(), c.said) || c.said == "" && said.Len() > 0 {
			t.Errorf("%s: %v, %q", c.file, img != nil, said.String())
		}
		if img != nil && (img.Type != sheet.Types()[0] || img.Caption != "Approved by the first, 2026-05-04 09:31: frame.") {
			t.Errorf("%s, %q", img.Type, img.Caption)
		}
	}
}

// Fifty cues with their plans, the whole way from files to page.
func BenchmarkSheet50CuesWithPlans(b *testing.B) {
	dir := b.TempDir()
	if err := os.CopyFS(dir, os.DirFS(kittiwakeDir)); err != nil {
		b.Fatal(err)
	}
	cues, err := os.ReadFile(filepath.Join(dir, "cues.toml"))
	if err != nil {
		b.Fatal(err)
	}
	var more bytes.Buffer
	more.Write(cues)
	from := []string{"bow", "bow at dusk", "beam", "stern quarter", "stern", "port quarter", "port bow by moonlight"}
	for i := range 42 {
		more.WriteString("\n[[cue]]\nname = \"more " + strings.Repeat("i", i+1) + "\"\nfrom = \"" + from[i%len(from)] + "\"\n")
	}
	if err := os.WriteFile(filepath.Join(dir, "cues.toml"), more.Bytes(), 0o600); err != nil {
		b.Fatal(err)
	}
	name := filepath.Join(b.TempDir(), "sheet.html")
	b.ReportAllocs()
	for b.Loop() {
		var said bytes.Buffer
		root := newRoot(stdio{Out: &said, Err: &said})
		root.SetArgs([]string{"sheet", dir, "-o", name})
		if err := root.ExecuteContext(b.Context()); err != nil || !strings.Contains(said.String(), "50 cues on ") {
			b.Fatalf("%v\n%s", err, said.String())
		}
	}
}
