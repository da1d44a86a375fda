package greycard_test

import (
	"bytes"
	"image"
	"testing"

	"golang.org/x/image/tiff"

	"limn/fixtures/colour"
	"limn/profiles/greycard"
	"limn/profiles/measure"
	"limn/profiles/measure/measuretest"
)

// lit is a card in a white of so many lux.
func lit(t testing.TB, lux float64) *measuretest.Set {
	t.Helper()
	s := measuretest.New(5, map[string]*measuretest.Light{"sky": {Emitters: []measuretest.Emitter{
		{Name: "white", XY: colour.White{Kelvin: 5600}.XY(), Lux: lux},
	}}})
	if err := s.Set("sky", measure.Whole, 1); err != nil {
		t.Fatal(err)
	}
	return s
}

// asTIFF writes a picture as a TIFF file.
func asTIFF(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := tiff.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// taken reads a picture as files go.
func taken(t testing.TB, img image.Image) *greycard.Photo {
	t.Helper()
	src := asTIFF(t, img)
	p, err := greycard.Decode("card.tif", bytes.NewReader(src), int64(len(src)))
	if err != nil {
		t.Fatal(err)
	}
	return p
}
