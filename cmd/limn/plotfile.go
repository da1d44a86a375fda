package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"time"
)

// Pictures are drawn as SVG. A PNG is made of it by whichever converter is
// installed: none comes along, because it would outweigh the rest of the program.

// converter is a program that turns an SVG file into a PNG file.
type converter struct {
	program string
	args    func(svg, png string, width, height string) []string
}

// pngScale is how many pixels of a PNG one of the drawing becomes.
const pngScale = "2"

// converters in the order they are tried: the faithful and quick ones first.
var converters = []converter{
	{"rsvg-convert", func(svg, png, _, _ string) []string {
		return []string{"--format=png", "--zoom=" + pngScale, "--output=" + png, svg}
	}},
	{"inkscape", func(svg, png, _, _ string) []string {
		return []string{"--export-type=png", "--export-dpi=192", "--export-filename=" + png, svg}
	}},
	{"magick", func(svg, png, _, _ string) []string { return []string{"-density", "192", svg, "png:" + png} }},
	{"convert", func(svg, png, _, _ string) []string { return []string{"-density", "192", svg, "png:" + png} }},
	{"chromium", browser},
	{"chromium-browser", browser},
}

func browser(svg, png, width, height string) []string {
	return []string{
		"--headless", "--hide-scrollbars", "--force-device-scale-factor=" + pngScale,
		"--window-size=" + width + "," + height, "--screenshot=" + png, "file://" + filepath.ToSlash(svg),
	}
}

// convertTime is the longest a converter may take.
const convertTime = time.Minute

// plotFile is a file that a drawing is to be written to.
type plotFile struct {
	name  string
	tools []converter // nil for SVG
}

// newPlotFile looks at the name and for a converter, before any work is done.
func newPlotFile(name string) (*plotFile, error) {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".svg":
		return &plotFile{name: name}, nil
	case ".png":
	default:
		return nil, usagef("write --plot panel.svg or --plot panel.png", "--plot: %q ends in neither .svg nor .png", name)
	}
	p := &plotFile{name: name}
	var names []string
	for _, c := range converters {
		if c.program == "convert" && runtime.GOOS == "windows" {
			continue // there a tool for disks
		}
		names = append(names, c.program)
		if path, err := exec.LookPath(c.program); err == nil {
			p.tools = append(p.tools, converter{path, c.args})
		}
	}
	if p.tools == nil {
		svg := strings.TrimSuffix(name, filepath.Ext(name)) + ".svg"
		return nil, failuref(statusFailed,
			fmt.Sprintf("--plot %s needs none and opens in any browser; or install one: apt-get install librsvg2-bin", svg),
			"no converter from SVG to PNG is installed; looked for %s", strings.Join(names, ", "))
	}
	return p, nil
}

// write puts the drawing into the file, all of it or nothing.
func (p *plotFile) write(ctx context.Context, svg []byte) error {
	if p.tools == nil {
		return writeFile(p.name, svg)
	}
	dir, err := os.MkdirTemp("", "limn-plot-")
	if err != nil {
		return failuref(statusFailed, "", "no room for the picture: %v", pathCause(err))
	}
	defer os.RemoveAll(dir)
	from, to := filepath.Join(dir, "plot.svg"), filepath.Join(dir, "plot.png")
	if err := os.WriteFile(from, svg, 0o600); err != nil {
		return failuref(statusFailed, "", "no room for the picture: %v", pathCause(err))
	}
	ctx, cancel := context.WithTimeout(ctx, convertTime)
	defer cancel()
	width, height := drawingSize(svg)
	var failed []string
	for _, c := range p.tools {
		err := exec.CommandContext(ctx, c.program, c.args(from, to, width, height)...).Run()
		png, readErr := os.ReadFile(to)
		if err == nil && readErr == nil && bytes.HasPrefix(png, pngStart) {
			return writeFile(p.name, png)
		}
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		failed = append(failed, filepath.Base(c.program))
		os.Remove(to)
	}
	return failuref(statusFailed, "write an .svg and convert it by hand", "no PNG came out of %s", strings.Join(failed, ", "))
}

// pngStart is how every PNG file begins (ISO/IEC 15948).
var pngStart = []byte("\x89PNG\r\n\x1a\n")

var drawingBox = regexp.MustCompile(`viewBox="0 0 (\d+) (\d+)"`)

// drawingSize is the size of a drawing of ours, in whole pixels.
func drawingSize(svg []byte) (width, height string) {
	if m := drawingBox.FindSubmatch(svg); m != nil {
		return string(m[1]), string(m[2])
	}
	return "1100", "800"
}

// writeFile writes a result beside its place and moves it there, so that what
// was there before goes only when the new one is whole.
func writeFile(name string, content []byte) error {
	fail := func(err error) error {
		return failuref(statusFailed, "name a place that can be written to", "cannot write %s: %v", name, pathCause(err))
	}
	if info, err := os.Stat(name); err == nil && !info.Mode().IsRegular() {
		if info.IsDir() {
			return fail(errors.New("it is a folder"))
		}
		if err := os.WriteFile(name, content, 0o666); err != nil { // a pipe or a device keeps its place
			return fail(err)
		}
		return nil
	}
	f, err := os.CreateTemp(filepath.Dir(name), ".limn-*")
	if err != nil {
		return fail(err)
	}
	defer os.Remove(f.Name()) // after the move there is nothing left to remove
	_, err = f.Write(content)
	if err = errors.Join(err, f.Chmod(0o644), f.Close()); err != nil {
		return fail(err)
	}
	if err := os.Rename(f.Name(), name); err != nil {
		var link *os.LinkError
		if errors.As(err, &link) {
			err = link.Err
		}
		return fail(err)
	}
	return nil
}
