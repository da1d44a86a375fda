package greycard

import (
	"encoding/binary"
	"errors"
	"image"
	"io"
)

// Converters of raw files write plain TIFFs: channels of 16 bits, uncompressed,
// often in one strip. Those are read straight into the picture, row by row; the general
// decoder would hold such a strip several times over. Everything else is left to it.

// The tags that a plain picture may have, and what they must say (TIFF 6.0).
const (
	tagWidth         = 256
	tagHeight        = 257
	tagBits          = 258
	tagCompression   = 259
	tagPhotometric   = 262
	tagFillOrder     = 266
	tagStripOffsets  = 273
	tagSamples       = 277
	tagRowsPerStrip  = 278
	tagStripBytes    = 279
	tagPlanar        = 284
	tagPredictor     = 317
	tagTileWidth     = 322
	tagSampleFormat  = 339
	maxEntries       = 4096
	maxStrips        = 1 << 20
	kindShort        = 3
	kindLong         = 4
	photometricRGB   = 2
	bytesPerSample   = 2
	entrySize        = 12
	valuesWithin     = 4 // bytes of values that stand in the entry itself
	headerSize       = 8
	uncompressed     = 1
	chunky, unsigned = 1, 1
)

// errNotPlain says that a TIFF is none of the plain kind.
var errNotPlain = errors.New("not a plain TIFF")

// plainTIFF is where a plain TIFF has its rows.
type plainTIFF struct {
	order         binary.ByteOrder
	width, height int
	samples       int // of a pixel: red, green, blue, and perhaps one that is passed over
	rows          int // of a strip
	offsets       []uint32
	counts        []uint32
}

// parsePlain reads the directory of a plain TIFF; errNotPlain for any other.
func parsePlain(r io.ReaderAt) (*plainTIFF, error) {
	var head [headerSize]byte
	if _, err := r.ReadAt(head[:], 0); err != nil {
		return nil, errNotPlain
	}
	t := &plainTIFF{order: binary.ByteOrder(binary.LittleEndian)}
	if head[0] == 'M' {
		t.order = binary.BigEndian
	}
	at := int64(t.order.Uint32(head[4:]))
	var n [2]byte
	if _, err := r.ReadAt(n[:], at); err != nil {
		return nil, errNotPlain
	}
	entries := int(t.order.Uint16(n[:]))
	if entries > maxEntries {
		return nil, errNotPlain
	}
	dir := make([]byte, entries*entrySize)
	if _, err := r.ReadAt(dir, at+2); err != nil {
		return nil, errNotPlain
	}
	// What is not written has these values, or must be written.
	one := map[int]uint32{tagCompression: uncompressed, tagPlanar: chunky, tagFillOrder: 1, tagPredictor: 1, tagSamples: 1, tagRowsPerStrip: 1<<32 - 1}
	var bits, format []uint32
	for i := range entries {
		e := dir[i*entrySize : (i+1)*entrySize]
		tag := int(t.order.Uint16(e))
		switch tag {
		case tagTileWidth:
			return nil, errNotPlain
		case tagWidth, tagHeight, tagBits, tagCompression, tagPhotometric, tagFillOrder, tagStripOffsets,
			tagSamples, tagRowsPerStrip, tagStripBytes, tagPlanar, tagPredictor, tagSampleFormat:
		default:
			continue
		}
		values, err := t.values(r, e)
		if err != nil {
			return nil, err
		}
		switch tag {
		case tagBits:
			bits = values
		case tagSampleFormat:
			format = values
		case tagStripOffsets:
			t.offsets = values
		case tagStripBytes:
			t.counts = values
		default:
			one[tag] = values[0]
		}
	}
	if one[tagCompression] != uncompressed || one[tagPlanar] != chunky || one[tagFillOrder] != 1 || one[tagPredictor] != 1 ||
		one[tagSamples] < 3 || one[tagSamples] > 4 || one[tagPhotometric] != photometricRGB || len(bits) != int(one[tagSamples]) {
		return nil, errNotPlain
	}
	for i := range bits {
		if bits[i] != 16 || format != nil && (len(format) <= i || format[i] != unsigned) {
			return nil, errNotPlain
		}
	}
	t.width, t.height, t.samples = int(one[tagWidth]), int(one[tagHeight]), int(one[tagSamples])
	t.rows = int(min(one[tagRowsPerStrip], one[tagHeight]))
	if t.width <= 0 || t.height <= 0 || t.rows <= 0 || t.width > MaxPixels || t.height > MaxPixels {
		return nil, errNotPlain
	}
	strips := (t.height + t.rows - 1) / t.rows
	if len(t.offsets) != strips || len(t.counts) != strips {
		return nil, errNotPlain
	}
	for i, n := range t.counts {
		rows := min(t.rows, t.height-i*t.rows)
		if int64(n) < int64(rows)*int64(t.width)*int64(t.samples*bytesPerSample) {
			return nil, errNotPlain
		}
	}
	return t, nil
}

// values are those of a directory's entry.
func (t *plainTIFF) values(r io.ReaderAt, e []byte) ([]uint32, error) {
	kind, n := t.order.Uint16(e[2:]), t.order.Uint32(e[4:])
	size := 2
	switch kind {
	case kindShort:
	case kindLong:
		size = 4
	default:
		return nil, errNotPlain
	}
	if n == 0 || n > maxStrips {
		return nil, errNotPlain
	}
	raw := e[8:]
	if bytes := int(n) * size; bytes > valuesWithin {
		raw = make([]byte, bytes)
		if _, err := r.ReadAt(raw, int64(t.order.Uint32(e[8:]))); err != nil {
			return nil, errNotPlain
		}
	}
	out := make([]uint32, n)
	for i := range out {
		if size == 2 {
			out[i] = uint32(t.order.Uint16(raw[2*i:]))
		} else {
			out[i] = t.order.Uint32(raw[4*i:])
		}
	}
	return out, nil
}

// decode reads the rows into a picture.
func (t *plainTIFF) decode(r io.ReaderAt) (*image.RGBA64, error) {
	img := image.NewRGBA64(image.Rect(0, 0, t.width, t.height))
	pixel := t.samples * bytesPerSample
	row := make([]byte, t.width*pixel)
	for y := range t.height {
		strip := y / t.rows
		at := int64(t.offsets[strip]) + int64(y%t.rows)*int64(len(row))
		if n, err := r.ReadAt(row, at); n < len(row) {
			return nil, err
		}
		out := img.Pix[y*img.Stride:]
		for x := range t.width {
			p, q := row[pixel*x:pixel*x+6], out[8*x:8*x+8]
			if t.order == binary.LittleEndian {
				q[0], q[1], q[2], q[3], q[4], q[5] = p[1], p[0], p[3], p[2], p[5], p[4]
			} else {
				copy(q, p)
			}
			q[6], q[7] = 0xff, 0xff
		}
	}
	return img, nil
}
