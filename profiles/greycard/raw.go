package greycard

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// DefaultConverter is that of LibRaw (Debian: libraw-bin): linear, 16 bit, the
// sensor's own colours, no white balance, no brightening.
const DefaultConverter = "dcraw_emu -T -4 -o 0 -r 1 1 1 1 -W FILE"

// File stands for the raw file in a converter's command.
const File = "FILE"

// convertTime is the longest a converter may take.
const convertTime = 2 * time.Minute

// ParseConverter takes a command apart at its spaces. No shell ever sees it. The error
// says what is missing.
func ParseConverter(command string) ([]string, error) {
	words := strings.Fields(command)
	if len(words) < 2 {
		return nil, fmt.Errorf("%q names no program and file; write the command with %s where the raw file goes, as %q", command, File, DefaultConverter)
	}
	for _, w := range words[1:] {
		if strings.Contains(w, File) {
			return words, nil
		}
	}
	return nil, fmt.Errorf("%q says nowhere where the raw file goes; write %s there, as %q", command, File, DefaultConverter)
}

// develop reads a raw file through the converter. The raw file is never written
// to: the converter sees a link to it in a folder of its own.
func develop(ctx context.Context, path string, o Options) (*Photo, error) {
	if len(o.Converter) == 0 {
		return nil, &Error{path, "this is a raw file, and no converter is named", fmt.Sprintf("name one that makes a 16-bit linear TIFF, as %q (Debian: apt-get install libraw-bin)", DefaultConverter)}
	}
	whole, err := filepath.Abs(path)
	if err != nil {
		return nil, cannotRead(path, err)
	}
	f, err := os.Open(whole)
	if err != nil {
		return nil, cannotRead(path, err)
	}
	settings := readSettings(f, path)
	f.Close()
	dir, err := os.MkdirTemp("", "limn-raw-")
	if err != nil {
		return nil, &Error{path, fmt.Sprintf("no room to develop it: %v", err), "make room in the folder for temporary files"}
	}
	defer os.RemoveAll(dir)
	link := filepath.Join(dir, "raw"+strings.ToLower(filepath.Ext(path)))
	if err := os.Symlink(whole, link); err != nil {
		return nil, &Error{path, fmt.Sprintf("no room to develop it: %v", err), "make room in the folder for temporary files"}
	}
	args := make([]string, len(o.Converter)-1)
	for i, w := range o.Converter[1:] {
		args[i] = strings.ReplaceAll(w, File, link)
	}
	ctx, cancel := context.WithTimeout(ctx, convertTime)
	defer cancel()
	out, err := os.Create(filepath.Join(dir, "stdout.tif"))
	if err != nil {
		return nil, &Error{path, fmt.Sprintf("no room to develop it: %v", err), "make room in the folder for temporary files"}
	}
	var noise bytes.Buffer
	cmd := exec.CommandContext(ctx, o.Converter[0], args...)
	cmd.Dir, cmd.Stdout, cmd.Stderr = dir, out, &bounded{buf: &noise}
	cmd.WaitDelay = time.Second
	err = cmd.Run()
	out.Close()
	if ctx.Err() != nil {
		if errors.Is(ctx.Err(), context.DeadlineExceeded) {
			return nil, &Error{path, fmt.Sprintf("%s takes longer than %s", o.Converter[0], convertTime), "develop it by hand to a 16-bit linear TIFF"}
		}
		return nil, context.Cause(ctx)
	}
	if err != nil {
		said := lastLine(noise.String())
		if said == "" {
			said = err.Error()
		}
		return nil, &Error{path, fmt.Sprintf("%s: %s", o.Converter[0], said), "name another converter, or develop it by hand to a 16-bit linear TIFF"}
	}
	found, err := developed(dir)
	if err != nil {
		return nil, &Error{path, fmt.Sprintf("%s made no TIFF", o.Converter[0]), fmt.Sprintf("name a command that does, as %q", DefaultConverter)}
	}
	t, err := os.Open(found)
	if err != nil {
		return nil, cannotRead(path, err)
	}
	defer t.Close()
	info, err := t.Stat()
	if err != nil {
		return nil, cannotRead(path, err)
	}
	p, err := Decode(path, t, info.Size())
	if err != nil {
		return nil, err
	}
	p.Settings = settings
	return p, nil
}

// developed is the TIFF in a folder.
func developed(dir string) (string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return "", err
	}
	for _, e := range entries {
		name := filepath.Join(dir, e.Name())
		info, err := os.Stat(name)
		ending := strings.ToLower(filepath.Ext(name))
		if err == nil && info.Size() > 0 && (ending == ".tif" || ending == ".tiff") {
			return name, nil
		}
	}
	return "", os.ErrNotExist
}

// maxNoise is how much of what a converter says is kept.
const maxNoise = 64 << 10

// bounded keeps the first part of what is written.
type bounded struct{ buf *bytes.Buffer }

func (b *bounded) Write(p []byte) (int, error) {
	b.buf.Write(p[:min(len(p), max(0, maxNoise-b.buf.Len()))])
	return len(p), nil
}

func lastLine(text string) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	return strings.TrimSpace(lines[len(lines)-1])
}
