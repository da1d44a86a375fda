package greycard

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/image/tiff"
)

// Limits of a picture.
const (
	MaxFileBytes = 1 << 30
	// MaxPixels of 16 bits in four channels are below 1 GiB. A TIFF that is not plain
	// (see strips.go) takes up to four times as much while it is decoded.
	MaxPixels = 110_000_000
	// PixelsPerByte is more than any photograph is compressed to: a picture of one
	// flat colour has about 200.
	PixelsPerByte = 256
	MinSide       = 64 // pixels
)

// Photo is a picture, decoded. It is for one goroutine at a time.
type Photo struct {
	Path          string
	Width, Height int
	// Rough says that the camera has bent the tones: a JPEG. Levels are then good to
	// a tenth of a stop or so, colours hardly.
	Rough    bool
	Settings Settings

	img image.Image
}

// Error says what is wrong with a picture and what would be right.
type Error struct {
	Path       string
	What, Cure string
}

func (e *Error) Error() string { return e.Path + ": " + e.What + "; " + e.Cure }

// Options say how pictures are opened.
type Options struct {
	// Converter makes a 16-bit linear TIFF of a raw file: a program and its arguments,
	// no shell. FILE stands for the raw file. It writes the TIFF beside FILE or to its
	// standard output. Nil = raw files are refused.
	Converter []string
}

// rawEndings are of files that need a converter though they begin like a TIFF.
var rawEndings = []string{".dng", ".nef", ".cr2", ".cr3", ".arw", ".pef", ".raf", ".orf", ".rw2", ".srw", ".raw", ".iiq", ".3fr", ".nrw", ".x3f"}

// IsRaw says whether a file is a camera's raw file, by the ending of its name.
func IsRaw(path string) bool {
	ending := strings.ToLower(filepath.Ext(path))
	for _, e := range rawEndings {
		if ending == e {
			return true
		}
	}
	return false
}

// Open reads a picture. The error is an *Error, or the cause of ctx.
func Open(ctx context.Context, path string, o Options) (*Photo, error) {
	if IsRaw(path) {
		return develop(ctx, path, o)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, cannotRead(path, err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, cannotRead(path, err)
	}
	if !info.Mode().IsRegular() {
		return nil, &Error{path, "this is no file", "name a photograph"}
	}
	p, err := Decode(path, f, info.Size())
	if err != nil {
		return nil, err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return nil, cannotRead(path, err)
	}
	p.Settings = readSettings(f, path)
	return p, nil
}

func cannotRead(path string, err error) error {
	var at *os.PathError
	if errors.As(err, &at) {
		err = at.Err
	}
	return &Error{path, fmt.Sprintf("cannot be read: %v", err), "name a photograph: a 16-bit TIFF, a JPEG, or a raw file"}
}

// How files begin.
var (
	jpegStart  = []byte("\xff\xd8\xff")
	tiffStarts = [][]byte{[]byte("II*\x00"), []byte("MM\x00*")}
)

// Decode reads a TIFF or JPEG of size bytes, without its settings. The error is an
// *Error; path only names the picture.
func Decode(path string, r io.ReadSeeker, size int64) (*Photo, error) {
	if size > MaxFileBytes {
		return nil, &Error{path, fmt.Sprintf("the file has %d MiB", size>>20), fmt.Sprintf("give a picture of at most %d MiB", MaxFileBytes>>20)}
	}
	start := make([]byte, 4)
	n, err := io.ReadFull(r, start)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
		return nil, cannotRead(path, err)
	}
	start = start[:n]
	isJPEG := bytes.HasPrefix(start, jpegStart)
	isTIFF := bytes.HasPrefix(start, tiffStarts[0]) || bytes.HasPrefix(start, tiffStarts[1])
	if !isJPEG && !isTIFF {
		return nil, &Error{path, "this is neither a TIFF nor a JPEG, by how it begins", "save it as a 16-bit linear TIFF, or name a raw file by its own ending"}
	}
	rewind := func() error {
		_, err := r.Seek(0, io.SeekStart)
		return err
	}
	if err := rewind(); err != nil {
		return nil, cannotRead(path, err)
	}
	config, decode := tiff.DecodeConfig, tiff.Decode
	if isJPEG {
		config, decode = jpeg.DecodeConfig, jpeg.Decode
	}
	c, err := config(r)
	if err != nil {
		return nil, undecodable(path, err)
	}
	pixels := int64(c.Width) * int64(c.Height)
	switch {
	case c.Width < MinSide || c.Height < MinSide:
		return nil, &Error{path, fmt.Sprintf("the picture has %d x %d pixels", c.Width, c.Height), "give the photograph in full size"}
	case int64(c.Width) > MaxPixels || int64(c.Height) > MaxPixels || pixels > MaxPixels:
		return nil, &Error{path, fmt.Sprintf("the picture has %d x %d pixels", c.Width, c.Height), fmt.Sprintf("develop it at half size; at most %d megapixels are read", MaxPixels/1_000_000)}
	case pixels > size*PixelsPerByte:
		return nil, &Error{path, fmt.Sprintf("%d x %d pixels cannot lie in %d bytes", c.Width, c.Height, size), "the file is damaged: copy it again"}
	case isTIFF && !deep(c.ColorModel):
		return nil, &Error{path, "this TIFF has 8 bits a channel, and dark levels have no steps left", "develop the raw file to a 16-bit linear TIFF, without a tone curve"}
	}
	if err := rewind(); err != nil {
		return nil, cannotRead(path, err)
	}
	img, err := decodePicture(r, decode)
	if err != nil {
		return nil, undecodable(path, err)
	}
	b := img.Bounds()
	if b.Dx() != c.Width || b.Dy() != c.Height || b.Min != (image.Point{}) {
		return nil, undecodable(path, errors.New("its header and its content differ"))
	}
	p := &Photo{Path: path, Width: c.Width, Height: c.Height, Rough: isJPEG, img: img}
	if !p.readable() {
		return nil, &Error{path, fmt.Sprintf("pictures of this kind (%T) are not read", img), "save it in plain RGB"}
	}
	if isTIFF && p.coarse() {
		return nil, &Error{path, "this TIFF has 16 bits a channel but only 8 bits of picture in them", "develop the raw file itself to 16 bits, without a tone curve"}
	}
	return p, nil
}

// decodePicture decodes a picture: a plain TIFF straight from where it lies.
func decodePicture(r io.ReadSeeker, decode func(io.Reader) (image.Image, error)) (image.Image, error) {
	if at, ok := r.(io.ReaderAt); ok {
		if plain, err := parsePlain(at); err == nil {
			return plain.decode(at)
		}
	}
	return decode(r)
}

func undecodable(path string, err error) error {
	cure := "save it as a plain 16-bit RGB TIFF"
	var unsupported tiff.UnsupportedError
	if errors.As(err, &unsupported) {
		cure += "; a raw file keeps its own ending, such as .dng"
	}
	return &Error{path, fmt.Sprintf("the picture cannot be decoded: %v", err), cure}
}

// deep says whether a TIFF has 16 bits a channel.
func deep(m color.Model) bool {
	return m == color.RGBA64Model || m == color.NRGBA64Model || m == color.Gray16Model
}

func (p *Photo) readable() bool {
	switch p.img.(type) {
	case *image.RGBA64, *image.NRGBA64, *image.Gray16, *image.YCbCr, *image.Gray:
		return true
	}
	return false
}

// coarse says whether a 16-bit picture is an 8-bit one stretched: every value then
// has two bytes alike, or a low byte of nothing.
func (p *Photo) coarse() bool {
	buf := make([][3]float64, p.Width)
	step := max(1, p.Height/64)
	alike, low, values := 0, 0, 0
	for y := 0; y < p.Height; y += step {
		p.row(y, 0, p.Width, buf)
		for x := 0; x < p.Width; x += 7 {
			for _, v := range buf[x] {
				code := int(math.Round(v * math.MaxUint16))
				if code == 0 || code == math.MaxUint16 {
					continue
				}
				values++
				if code%257 == 0 {
					alike++
				}
				if code%256 == 0 {
					low++
				}
			}
		}
	}
	return values > 100 && (alike == values || low == values)
}

// row fills buf with the linear values of part of a row.
func (p *Photo) row(y, x0, x1 int, buf [][3]float64) {
	const top = 1.0 / math.MaxUint16
	switch m := p.img.(type) {
	case *image.RGBA64: // without transparency in a photograph
		row := m.Pix[m.PixOffset(x0, y):]
		for i := range x1 - x0 {
			q := row[8*i : 8*i+8]
			buf[i] = [3]float64{float64(int(q[0])<<8|int(q[1])) * top, float64(int(q[2])<<8|int(q[3])) * top, float64(int(q[4])<<8|int(q[5])) * top}
		}
	case *image.NRGBA64:
		row := m.Pix[m.PixOffset(x0, y):]
		for i := range x1 - x0 {
			q := row[8*i : 8*i+8]
			buf[i] = [3]float64{float64(int(q[0])<<8|int(q[1])) * top, float64(int(q[2])<<8|int(q[3])) * top, float64(int(q[4])<<8|int(q[5])) * top}
		}
	case *image.Gray16:
		row := m.Pix[m.PixOffset(x0, y):]
		for i := range x1 - x0 {
			v := float64(int(row[2*i])<<8|int(row[2*i+1])) * top
			buf[i] = [3]float64{v, v, v}
		}
	case *image.YCbCr:
		for i := range x1 - x0 {
			c := m.YCbCrAt(x0+i, y)
			r, g, b := color.YCbCrToRGB(c.Y, c.Cb, c.Cr)
			buf[i] = [3]float64{srgb[r], srgb[g], srgb[b]}
		}
	case *image.Gray:
		for i := range x1 - x0 {
			v := srgb[m.GrayAt(x0+i, y).Y]
			buf[i] = [3]float64{v, v, v}
		}
	}
}

// srgb takes the curve of IEC 61966-2-1:1999 off a code.
var srgb = func() (t [256]float64) {
	for i := range t {
		c := float64(i) / 255
		if c <= 0.04045 {
			t[i] = c / 12.92
		} else {
			t[i] = math.Pow((c+0.055)/1.055, 2.4)
		}
	}
	return t
}()
