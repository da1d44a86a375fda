package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
)

// pdfConverters turn an SVG file into a PDF file, in the order they are tried.
var pdfConverters = []converter{
	{"rsvg-convert", func(svg, pdf, _, _ string) []string {
		return []string{"--format=pdf", "--output=" + pdf, svg}
	}},
	{"inkscape", func(svg, pdf, _, _ string) []string {
		return []string{"--export-type=pdf", "--export-filename=" + pdf, svg}
	}},
	{"magick", func(svg, pdf, _, _ string) []string { return []string{"-density", "192", svg, "pdf:" + pdf} }},
	{"convert", func(svg, pdf, _, _ string) []string { return []string{"-density", "192", svg, "pdf:" + pdf} }},
	{"chromium", pdfBrowser},
	{"chromium-browser", pdfBrowser},
}

func pdfBrowser(svg, pdf, _, _ string) []string {
	return []string{"--headless", "--no-pdf-header-footer", "--print-to-pdf=" + pdf, "file://" + filepath.ToSlash(svg)}
}

// pdfStart is how every PDF file begins (ISO 32000-1, 7.5.2).
var pdfStart = []byte("%PDF-")

// drawFile is where a drawing goes.
type drawFile struct {
	name  string
	out   io.Writer // for "-"
	kind  string    // "SVG", "PNG" or "PDF"
	start []byte    // of such a file
	tools []converter
}

// newDrawFile looks at the name and for a converter, before any work is done.
func newDrawFile(name string, out io.Writer) (*drawFile, error) {
	f := &drawFile{name: name, out: out, kind: strings.ToUpper(strings.TrimPrefix(filepath.Ext(name), "."))}
	var known []converter
	switch {
	case name == "-", f.kind == "SVG":
		f.kind = "SVG"
		return f, nil
	case f.kind == "PNG":
		known, f.start = converters, pngStart
	case f.kind == "PDF":
		known, f.start = pdfConverters, pdfStart
	default:
		return nil, usagef("write -o bow.svg, bow.png or bow.pdf", "-o: %q ends in none of .svg, .png and .pdf", name)
	}
	var names []string
	for _, c := range known {
		if c.program == "convert" && runtime.GOOS == "windows" {
			continue // there a tool for disks
		}
		names = append(names, c.program)
		if path, err := exec.LookPath(c.program); err == nil {
			f.tools = append(f.tools, converter{path, c.args})
		}
	}
	if f.tools == nil {
		svg := strings.TrimSuffix(name, filepath.Ext(name)) + ".svg"
		return nil, failuref(statusFailed,
			fmt.Sprintf("-o %s needs none and opens in any browser, which prints it too; or install one: apt-get install librsvg2-bin", svg),
			"no converter from SVG to %s is installed; looked for %s", f.kind, strings.Join(names, ", "))
	}
	return f, nil
}

// write puts the drawing into the file, all of it or nothing.
func (f *drawFile) write(ctx context.Context, svg []byte) error {
	switch {
	case f.name == "-":
		_, err := f.out.Write(svg)
		return err
	case f.tools == nil:
		return writeFile(f.name, svg)
	}
	dir, err := os.MkdirTemp("", "limn-draw-")
	if err != nil {
		return failuref(statusFailed, "", "no room for the picture: %v", pathCause(err))
	}
	defer os.RemoveAll(dir)
	from, to := filepath.Join(dir, "draw.svg"), filepath.Join(dir, "draw."+strings.ToLower(f.kind))
	if err := os.WriteFile(from, svg, 0o600); err != nil {
		return failuref(statusFailed, "", "no room for the picture: %v", pathCause(err))
	}
	ctx, cancel := context.WithTimeout(ctx, convertTime)
	defer cancel()
	width, height := drawingSize(svg)
	var failed []string
	for _, c := range f.tools {
		err := exec.CommandContext(ctx, c.program, c.args(from, to, width, height)...).Run()
		made, readErr := os.ReadFile(to)
		if err == nil && readErr == nil && bytes.HasPrefix(made, f.start) {
			return writeFile(f.name, made)
		}
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		failed = append(failed, filepath.Base(c.program))
		os.Remove(to)
	}
	return failuref(statusFailed, "write an .svg and convert it by hand", "no %s came out of %s", f.kind, strings.Join(failed, ", "))
}
