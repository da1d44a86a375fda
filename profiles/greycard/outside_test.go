package greycard_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"limn/profiles/greycard"
)

// tool finds a program of others that a test asks, or skips with what to install.
func tool(t *testing.T, pkg string, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("%v not found: apt-get install %s", names, pkg)
	}
	t.Skipf("%v not found: apt-get install %s", names, pkg)
	return ""
}

func do(t *testing.T, program string, args ...string) {
	t.Helper()
	if out, err := exec.Command(program, args...).CombinedOutput(); err != nil {
		t.Fatalf("%s %v: %v\n%s", program, args, err, out)
	}
}

// imageMagick is the real one: programs that only go by its name do less.
func imageMagick(t *testing.T) string {
	t.Helper()
	for _, path := range []string{"/usr/bin/magick", "/usr/bin/convert"} {
		if _, err := os.Stat(path); err == nil {
			return path
		}
	}
	return tool(t, "imagemagick", "magick")
}

// A TIFF that ImageMagick writes, in its compressions and both byte orders, is read to
// the last code. Its colour rgb(50000,30000,10000) is of 65535.
func TestTIFFOfImageMagick(t *testing.T) {
	magick := imageMagick(t)
	for _, args := range [][]string{
		{"-compress", "None"},
		{"-compress", "LZW"},
		{"-compress", "Zip"},
		{"-compress", "None", "-endian", "MSB"},
		{"-compress", "Zip", "-define", "tiff:predictor=2"},
	} {
		name := filepath.Join(t.TempDir(), "card.tif")
		do(t, magick, append(append([]string{"-size", "300x200", "xc:rgb(76.2951%,45.7771%,15.2590%)", "-depth", "16", "-type", "TrueColor"}, args...), name)...)
		p, err := greycard.Open(t.Context(), name, greycard.Options{})
		if err != nil {
			t.Errorf("%v: %v", args, err)
			continue
		}
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		agree(t, src)
		m, err := p.Measure(greycard.Region{X: 50, Y: 30, Width: 150, Height: 120})
		if err != nil {
			t.Fatal(err)
		}
		for i, want := range []float64{50000, 30000, 10000} {
			if got := m.Mean[i] * math.MaxUint16; math.Abs(got-want) > 0.51 {
				t.Errorf("%v: channel %d reads %.2f, want %.0f", args, i, got, want)
			}
		}
	}
	eight := filepath.Join(t.TempDir(), "eight.tif")
	do(t, magick, "-size", "300x200", "xc:rgb(50%,40%,30%)", "-depth", "8", eight)
	var e *greycard.Error
	if _, err := greycard.Open(t.Context(), eight, greycard.Options{}); !errors.As(err, &e) || !strings.Contains(e.What, "8 bits") {
		t.Errorf("8 bits: %v", err)
	}
}

// What exiftool writes of a picture is read, of JPEG and TIFF alike.
func TestSettingsOfExiftool(t *testing.T) {
	exiftool := tool(t, "libimage-exiftool-perl", "exiftool")
	dir := t.TempDir()
	img := image.NewRGBA64(image.Rect(0, 0, 200, 200))
	for i := range img.Pix {
		img.Pix[i] = byte(i * 31)
	}
	for name, src := range map[string][]byte{"card.jpg": asJPEG(t), "card.tif": asTIFF(t, img)} {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, src, 0o600); err != nil {
			t.Fatal(err)
		}
		do(t, exiftool, "-q", "-overwrite_original", "-ExposureTime=1/50", "-FNumber=5.6", "-ISO=400", "-WhiteBalance=Auto",
			"-DateTimeOriginal=2026:11:25 10:11:12", "-Model=Synthetic 1", path)
		p, err := greycard.Open(t.Context(), path, greycard.Options{})
		if err != nil {
			t.Fatal(err)
		}
		s := p.Settings
		if math.Abs(s.Shutter-0.02) > 1e-9 || s.Aperture != 5.6 || s.ISO != 400 || !s.AutoWhite || s.Camera != "Synthetic 1" ||
			!s.Taken.Equal(time.Date(2026, 11, 25, 10, 11, 12, 0, time.UTC)) {
			t.Errorf("%s: %+v", name, s)
		}
		if want := 0.02 * 400 / (5.6 * 5.6); math.Abs(s.Exposure()/want-1) > 1e-9 {
			t.Errorf("%s: exposure %g, want %g", name, s.Exposure(), want)
		}
	}
}

// A raw file goes through dcraw_emu: the mosaic holds 4000 of a white of 16383, so the
// linear TIFF must hold 16000 of 65535 (values times four), and the settings are those of
// the raw file.
func TestRawThroughConverter(t *testing.T) {
	tool(t, "libraw-bin", "dcraw_emu")
	command, err := greycard.ParseConverter(greycard.DefaultConverter)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "card.dng")
	src := dng(400, 300, [3]uint16{4000, 4000, 4000}, 16383)
	if err := os.WriteFile(path, src, 0o600); err != nil {
		t.Fatal(err)
	}
	p, err := greycard.Open(t.Context(), path, greycard.Options{Converter: command})
	if err != nil {
		t.Fatal(err)
	}
	m, err := p.Measure(greycard.Region{X: 100, Y: 80, Width: 150, Height: 120})
	if err != nil {
		t.Fatal(err)
	}
	for i := range m.Mean {
		if got := m.Mean[i] * math.MaxUint16; math.Abs(got/16000-1) > 0.001 {
			t.Errorf("channel %d reads %.1f, want 16000", i, got)
		}
	}
	if s := p.Settings; s.Shutter != 0.02 || s.ISO != 400 || s.Aperture != 8 {
		t.Errorf("%+v", s)
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 1 {
		t.Errorf("beside the raw file lies %v", left)
	}
	if now, err := os.ReadFile(path); err != nil || !bytes.Equal(now, src) {
		t.Error("the raw file was touched")
	}
}

// Everything that can go wrong with a converter is told.
func TestConverterFaults(t *testing.T) {
	path := filepath.Join(t.TempDir(), "card.dng")
	if err := os.WriteFile(path, []byte("no raw file"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name    string
		command []string
		says    string
	}{
		{"none", nil, "no converter is named"},
		{"not there", []string{"/nowhere/converter", "FILE"}, "/nowhere/converter"},
		{"fails", []string{"sh", "-c", "echo first >&2; echo this camera is unknown >&2; exit 3", "FILE"}, "this camera is unknown"},
		{"makes nothing", []string{"true", "FILE"}, "made no TIFF"},
		{"makes no TIFF", []string{"sh", "-c", "echo hello > out.tiff", "FILE"}, "neither a TIFF nor a JPEG"},
	} {
		_, err := greycard.Open(t.Context(), path, greycard.Options{Converter: c.command})
		var e *greycard.Error
		if !errors.As(err, &e) || !strings.Contains(e.What, c.says) || e.Cure == "" {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := greycard.Open(ctx, path, greycard.Options{Converter: []string{"sleep", "60", "FILE"}}); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
	for _, command := range []string{"", "dcraw_emu", "dcraw_emu -T"} {
		if _, err := greycard.ParseConverter(command); err == nil {
			t.Errorf("%q is a converter", command)
		}
	}
}

// dng is an uncompressed raw file of one flat colour in a mosaic of red, green and blue
// (Adobe DNG 1.4, TIFF/EP).
func dng(width, height int, rgb [3]uint16, white uint32) []byte {
	type entry struct {
		tag, kind uint16
		count     uint32
		data      []byte
	}
	le := binary.LittleEndian
	shorts := func(v ...uint16) (b []byte) {
		for _, x := range v {
			b = le.AppendUint16(b, x)
		}
		return b
	}
	longs := func(v ...uint32) (b []byte) {
		for _, x := range v {
			b = le.AppendUint32(b, x)
		}
		return b
	}
	const (
		byteKind, ascii, short, long, rational, srational = 1, 2, 3, 4, 5, 10
	)
	identity := longs(1, 1, 0, 1, 0, 1, 0, 1, 1, 1, 0, 1, 0, 1, 0, 1, 1, 1)
	strip := make([]byte, 0, 2*width*height)
	for y := range height {
		for x := range width {
			// Red and green, green and blue.
			strip = le.AppendUint16(strip, rgb[y%2+x%2])
		}
	}
	entries := []entry{
		{254, long, 1, longs(0)},
		{256, long, 1, longs(uint32(width))},
		{257, long, 1, longs(uint32(height))},
		{258, short, 1, shorts(16)},
		{259, short, 1, shorts(1)},
		{262, short, 1, shorts(32803)},
		{271, ascii, 10, []byte("Synthetic\x00")},
		{272, ascii, 4, []byte("One\x00")},
		{273, long, 1, nil}, // where the strip stands: filled in below
		{277, short, 1, shorts(1)},
		{278, long, 1, longs(uint32(height))},
		{279, long, 1, longs(uint32(len(strip)))},
		{33421, short, 2, shorts(2, 2)},
		{33422, byteKind, 4, []byte{0, 1, 1, 2}},
		{33434, rational, 1, longs(1, 50)},
		{33437, rational, 1, longs(8, 1)},
		{34855, short, 1, shorts(400)},
		{50706, byteKind, 4, []byte{1, 4, 0, 0}},
		{50708, ascii, 14, []byte("Synthetic One\x00")},
		{50714, long, 1, longs(0)},
		{50717, long, 1, longs(white)},
		{50721, srational, 9, identity},
		{50728, rational, 3, longs(1, 1, 1, 1, 1, 1)},
		{50778, short, 1, shorts(21)},
	}
	const start = 8
	at := start + 2 + 12*len(entries) + 4
	var tail []byte
	out := []byte("II*\x00\x08\x00\x00\x00")
	out = le.AppendUint16(out, uint16(len(entries)))
	extra := 0
	for _, e := range entries {
		if len(e.data) > 4 {
			extra += (len(e.data) + 1) &^ 1
		}
	}
	for _, e := range entries {
		if e.tag == 273 {
			e.data = longs(uint32(at + extra))
		}
		out = le.AppendUint16(out, e.tag)
		out = le.AppendUint16(out, e.kind)
		out = le.AppendUint32(out, e.count)
		if len(e.data) <= 4 {
			out = append(out, append(e.data, 0, 0, 0, 0)[:4]...)
			continue
		}
		out = le.AppendUint32(out, uint32(at+len(tail)))
		tail = append(tail, e.data...)
		if len(tail)%2 == 1 {
			tail = append(tail, 0)
		}
	}
	out = le.AppendUint32(out, 0)
	return append(append(out, tail...), strip...)
}

// A picture in grey alone is read too.
func TestGrey16(t *testing.T) {
	img := image.NewGray16(image.Rect(0, 0, 150, 150))
	for y := range 150 {
		for x := range 150 {
			img.SetGray16(x, y, color.Gray16{Y: uint16(20_000 + (x*7+y*13)%100)})
		}
	}
	m, err := taken(t, img).Measure(greycard.Region{X: 10, Y: 10, Width: 120, Height: 120})
	if err != nil || math.Abs(m.Mean[0]*math.MaxUint16-20_049.5) > 2 || m.Mean[0] != m.Mean[2] {
		t.Errorf("%+v %v", m, err)
	}
}
