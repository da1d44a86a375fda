package greycard_test

import (
	"bytes"
	"image"
	"testing"

	"golang.org/x/image/tiff"

	"limn/profiles/greycard"
)

// BenchmarkPhotograph reads a 24-megapixel picture: decoding, finding the card, and
// measuring it.
func BenchmarkPhotograph(b *testing.B) {
	img := image.NewRGBA64(image.Rect(0, 0, 6000, 4000))
	for y := range 4000 {
		for x := range 6000 {
			v := uint16(4000 + (x*31+y*17)%97)
			if x > 1500 && x < 4500 && y > 1000 && y < 3000 {
				v += 28_000
			}
			at := img.PixOffset(x, y)
			for k := range 3 {
				img.Pix[at+2*k], img.Pix[at+2*k+1] = byte(v>>8), byte(v)
			}
		}
	}
	var file bytes.Buffer
	if err := tiff.Encode(&file, img, nil); err != nil {
		b.Fatal(err)
	}
	img = nil
	src := file.Bytes()
	p, err := greycard.Decode("card.tif", bytes.NewReader(src), int64(len(src)))
	if err != nil {
		b.Fatal(err)
	}
	r, err := p.Find()
	if err != nil {
		b.Fatal(err)
	}
	b.Run("decode", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := greycard.Decode("card.tif", bytes.NewReader(src), int64(len(src))); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("find", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := p.Find(); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("measure", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := p.Measure(r); err != nil {
				b.Fatal(err)
			}
		}
	})
}
