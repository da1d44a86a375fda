package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/png"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"limn/cmd/internal/sheet"
	"limn/cue/files"
	"limn/fixtures/reflect"
	"limn/fixtures/space"
)

// browsers print an HTML file as PDF, in the order they are tried.
var browsers = []string{"chromium", "chromium-browser"}

// printArgs have a browser print a file, with a profile of its own that is thrown
// away: it reads nothing of the user's and stays off the network.
func printArgs(html, pdf, profile string) []string {
	args := []string{
		"--headless", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--user-data-dir=" + profile,
		"--no-pdf-header-footer", "--print-to-pdf=" + pdf,
	}
	if os.Geteuid() == 0 {
		args = append(args, "--no-sandbox") // which it refuses to start with as root
	}
	return append(args, "file://"+filepath.ToSlash(html))
}

// sheetFile is where a sheet goes.
type sheetFile struct {
	name string
	out  io.Writer // for "-"
	kind string    // "HTML", "PDF", "CSV" or "JSON"
	tool string    // the browser, of PDF
}

// newSheetFile looks at the name and for a browser, before any work is done.
func newSheetFile(name string, out io.Writer) (*sheetFile, error) {
	f := &sheetFile{name: name, out: out, kind: strings.ToUpper(strings.TrimPrefix(filepath.Ext(name), "."))}
	switch f.kind {
	case "HTM":
		f.kind = "HTML"
	case "HTML", "CSV", "JSON":
	case "PDF":
		for _, b := range browsers {
			if path, err := exec.LookPath(b); err == nil {
				f.tool = path
				return f, nil
			}
		}
		html := strings.TrimSuffix(name, filepath.Ext(name)) + ".html"
		return nil, failuref(statusFailed, fmt.Sprintf("-o %s opens in any browser, which prints it as PDF; or install one: apt-get install chromium", html),
			"no browser that prints PDF is installed; looked for %s", strings.Join(browsers, ", "))
	default:
		if name == "-" {
			f.kind = "HTML"
			return f, nil
		}
		if name == "" {
			return nil, usagef("write -o sheet.html, .pdf, .csv or .json", "nothing to write into: -o names a file")
		}
		return nil, usagef("write -o sheet.html, .pdf, .csv or .json", "-o: %q ends in none of .html, .pdf, .csv and .json", name)
	}
	return f, nil
}

// write puts the sheet into the file, all of it or nothing.
func (f *sheetFile) write(ctx context.Context, content []byte) error {
	switch {
	case f.name == "-":
		_, err := f.out.Write(content)
		return err
	case f.tool == "":
		return writeFile(f.name, content)
	}
	dir, err := os.MkdirTemp("", "limn-sheet-")
	if err != nil {
		return failuref(statusFailed, "", "no room for the sheet: %v", pathCause(err))
	}
	defer os.RemoveAll(dir)
	from, to := filepath.Join(dir, "sheet.html"), filepath.Join(dir, "sheet.pdf")
	if err := os.WriteFile(from, content, 0o600); err != nil {
		return failuref(statusFailed, "", "no room for the sheet: %v", pathCause(err))
	}
	ctx, cancel := context.WithTimeout(ctx, convertTime)
	defer cancel()
	runErr := exec.CommandContext(ctx, f.tool, printArgs(from, to, filepath.Join(dir, "profile"))...).Run() //nolint:gosec // a program found by its own name
	made, readErr := os.ReadFile(to)
	if runErr == nil && readErr == nil && bytes.HasPrefix(made, pdfStart) {
		return writeFile(f.name, made)
	}
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	return failuref(statusFailed, "write an .html and print it by hand", "no PDF came out of %s", filepath.Base(f.tool))
}

func encodePNG(img image.Image) ([]byte, error) {
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		return nil, failuref(statusFailed, "", "the picture cannot be encoded: %v", err)
	}
	return b.Bytes(), nil
}

// maxFrame is how large an approved frame may be to stand in a sheet, in bytes: a
// page of paper shows no more.
const maxFrame = 30 << 20

// approvedFrame is the last frame that was attached to an approval, where a page can
// show it.
func approvedFrame(dir string, a *files.Approval, std stdio) *sheet.Image {
	for i := len(a.Pictures) - 1; i >= 0; i-- {
		p := &a.Pictures[i]
		if p.Kind != files.ApprovedFrame {
			continue
		}
		if p.Bytes > maxFrame {
			note(std.Err, "the approved frame of %s, %s, is too large for a page; attach a small JPEG of it", a.Cue, p.Name)
			return nil
		}
		data, err := readWithin(dir, p.File)
		if err != nil {
			note(std.Err, "the approved frame of %s, %s, cannot be read: %v", a.Cue, p.Name, pathCause(err))
			return nil
		}
		kind := http.DetectContentType(data)
		for _, t := range sheet.Types() {
			if kind == t {
				return &sheet.Image{Type: t, Data: data, Caption: fmt.Sprintf("Approved by %s, %s: %s.", a.Who, a.At.Format("2006-01-02 15:04"), p.Name)}
			}
		}
		note(std.Err, "the approved frame of %s, %s, is nothing a page can show; attach a JPEG or PNG of it", a.Cue, p.Name)
		return nil
	}
	return nil
}

// readWithin reads a file of a shoot's folder and no other.
func readWithin(dir, name string) ([]byte, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	file, err := root.Open(filepath.FromSlash(name))
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(io.LimitReader(file, maxFrame+1))
}

// boundsOf are the corners of a mesh, nil of none.
func boundsOf(mesh *reflect.Mesh) *[2]space.Vec {
	if mesh == nil {
		return nil
	}
	low, high := mesh.Bounds()
	return &[2]space.Vec{low, high}
}
