package greycard_test

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"golang.org/x/image/tiff"

	"limn/profiles/greycard"
	"limn/profiles/measure/measuretest"
)

// The card is found, its values are those that were put in, and its noise too.
func TestCardIsFoundAndMeasured(t *testing.T) {
	set, cam := lit(t, 1000), measuretest.NewCamera()
	p := taken(t, set.Shoot(cam))
	r, err := p.Find()
	if err != nil {
		t.Fatal(err)
	}
	if !image.Rect(r.X, r.Y, r.X+r.Width, r.Y+r.Height).In(cam.Card) {
		t.Fatalf("found %v, the card is %v", r, cam.Card)
	}
	m, err := p.Measure(r)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range cam.Values(set.Light()) {
		if math.Abs(m.Mean[i]-want) > 4*m.Sigma[i] || m.Sigma[i] > 0.001*want {
			t.Errorf("channel %d: %.6f ± %.6f, truly %.6f", i, m.Mean[i], m.Sigma[i], want)
		}
		if noise := m.Noise[i] / want; math.Abs(noise/0.01-1) > 0.05 {
			t.Errorf("channel %d: noise of %.4f, truly 0.01", i, noise)
		}
	}
	if m.Clipped != 0 || m.Bands.Contrast != 0 || m.Uneven > 0.01 {
		t.Errorf("%+v", m)
	}
	if fs := p.Findings(m, false); len(fs) > 0 {
		t.Errorf("%v", fs)
	}
}

func TestWhatIsWrongIsSaid(t *testing.T) {
	for _, c := range []struct {
		name  string
		lux   float64
		spoil func(*measuretest.Camera)
		says  string
		fault bool
	}{
		{"clipped", 2500, func(*measuretest.Camera) {}, "clipped", true},
		{"bright", 1750, func(c *measuretest.Camera) { c.Noise = 0.002 }, "near clipping", false},
		{"dark", 30, func(*measuretest.Camera) {}, "deep in the noise", false},
		{"a little flicker", 1000, func(c *measuretest.Camera) { c.Flicker, c.Bands = 0.02, 13 }, "bands", false},
		{"flicker", 1000, func(c *measuretest.Camera) { c.Flicker, c.Bands = 0.1, 13 }, "the light flickers", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			cam := measuretest.NewCamera()
			c.spoil(cam)
			p := taken(t, lit(t, c.lux).Shoot(cam))
			m, err := p.Measure(greycard.Region{X: 100, Y: 70, Width: 170, Height: 120})
			if err != nil {
				t.Fatal(err)
			}
			fs := p.Findings(m, false)
			if len(fs) != 1 || !strings.Contains(fs[0].What, c.says) || fs[0].Fault != c.fault || fs[0].Cure == "" {
				t.Errorf("%v", fs)
			}
			if strings.Contains(c.name, "flicker") {
				// 13 bands in the whole height: 6 in the region's 120 rows of 260.
				if got := m.Bands.Number; math.Abs(got-6) > 0.5 || math.Abs(m.Bands.Contrast/cam.Flicker-1) > 0.15 {
					t.Errorf("%+v", m.Bands)
				}
			}
		})
	}
	// Half of the card lies in a shadow.
	img := lit(t, 1000).Shoot(measuretest.NewCamera())
	for y := range 260 {
		for x := 180; x < 360; x++ {
			v := img.RGBA64At(x, y)
			v.R, v.G, v.B = uint16(float64(v.R)*0.7), uint16(float64(v.G)*0.7), uint16(float64(v.B)*0.7)
			img.SetRGBA64(x, y, v)
		}
	}
	p := taken(t, img)
	m, err := p.Measure(greycard.Region{X: 100, Y: 70, Width: 170, Height: 120})
	if err != nil {
		t.Fatal(err)
	}
	if fs := p.Findings(m, false); len(fs) != 1 || !strings.Contains(fs[0].What, "brighter than another") {
		t.Errorf("a shadow: %v", fs)
	}
}

// Noise alone draws no bands: in a hundred pictures none are seen.
func TestNoiseIsNoFlicker(t *testing.T) {
	set, cam := lit(t, 400), measuretest.NewCamera()
	cam.Noise = 0.05
	cam.Width, cam.Height, cam.Card = 160, 160, image.Rect(0, 0, 160, 160)
	for range 100 {
		p := taken(t, set.Shoot(cam))
		m, err := p.Measure(greycard.Region{X: 10, Y: 10, Width: 140, Height: 140})
		if err != nil {
			t.Fatal(err)
		}
		if m.Bands.Contrast > 0.01 {
			t.Errorf("%+v", m.Bands)
		}
	}
}

func TestPicturesOfNothing(t *testing.T) {
	black := image.NewRGBA64(image.Rect(0, 0, 300, 300))
	grass := image.NewRGBA64(image.Rect(0, 0, 600, 600))
	noise := rand.New(rand.NewPCG(1, 1))
	for i := 0; i < len(grass.Pix); i += 8 {
		v := noise.IntN(60_000)
		for k := range 3 {
			grass.Pix[i+2*k], grass.Pix[i+2*k+1] = byte(v>>8), byte(v)
		}
	}
	for _, c := range []struct {
		img  image.Image
		says string
	}{{black, "nothing is to be seen"}, {grass, "no even part"}} {
		_, err := taken(t, c.img).Find()
		var e *greycard.Error
		if !errors.As(err, &e) || !strings.Contains(e.What, c.says) || e.Cure == "" {
			t.Errorf("%v", err)
		}
	}
}

func TestRefusedFiles(t *testing.T) {
	eight := image.NewRGBA(image.Rect(0, 0, 100, 100))
	stretched := image.NewRGBA64(image.Rect(0, 0, 100, 100))
	for y := range 100 {
		for x := range 100 {
			stretched.Set(x, y, color.RGBA{byte(x + y), byte(x), byte(y), 255})
		}
	}
	huge := asTIFF(t, image.NewRGBA64(image.Rect(0, 0, 100, 100)))
	widen(t, huge, 8000)
	for _, c := range []struct {
		name string
		src  []byte
		says string
	}{
		{"8 bits", asTIFF(t, eight), "8 bits a channel"},
		{"8 bits in 16", asTIFF(t, stretched), "only 8 bits of picture"},
		{"nothing", nil, "neither a TIFF nor a JPEG"},
		{"a text", []byte("source,lux\n"), "neither a TIFF nor a JPEG"},
		{"half a TIFF", asTIFF(t, image.NewRGBA64(image.Rect(0, 0, 100, 100)))[:500], "cannot be decoded"},
		{"half a JPEG", asJPEG(t)[:300], "cannot be decoded"},
		{"small", asTIFF(t, image.NewRGBA64(image.Rect(0, 0, 20, 20))), "20 x 20 pixels"},
		{"more than its file holds", huge, "cannot lie in"},
	} {
		_, err := greycard.Decode("x", bytes.NewReader(c.src), int64(len(c.src)))
		var e *greycard.Error
		if !errors.As(err, &e) || !strings.Contains(e.What, c.says) || e.Cure == "" {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// widen changes width and height that a little-endian TIFF of ours tells (tags 256 and
// 257 of TIFF 6.0).
func widen(t *testing.T, src []byte, to uint16) {
	t.Helper()
	changed := 0
	at := int(src[4]) | int(src[5])<<8 | int(src[6])<<16 | int(src[7])<<24
	for i := range int(src[at]) {
		entry := src[at+2+12*i:]
		if tag := int(entry[0]) | int(entry[1])<<8; tag == 256 || tag == 257 {
			entry[8], entry[9] = byte(to), byte(to>>8)
			changed++
		}
	}
	if changed != 2 {
		t.Fatal("no size found")
	}
}

func asJPEG(t testing.TB) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 200, 200))
	for y := range 200 {
		for x := range 200 {
			img.Set(x, y, color.RGBA{128, 64, 32, 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 100}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A JPEG is rough, and its curve is taken off: 128 64 32 are 0.2159 0.0513 0.0144 of
// full (IEC 61966-2-1:1999).
func TestJPEG(t *testing.T) {
	src := asJPEG(t)
	p, err := greycard.Decode("x.jpg", bytes.NewReader(src), int64(len(src)))
	if err != nil || !p.Rough {
		t.Fatalf("%+v %v", p, err)
	}
	m, err := p.Measure(greycard.Region{X: 20, Y: 20, Width: 150, Height: 150})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0.2158605, 0.0512695, 0.0144438} {
		if math.Abs(m.Mean[i]/want-1) > 0.06 { // one code of 8 bits at 32 is worth 5.4 %
			t.Errorf("channel %d: %.5f, want %.5f", i, m.Mean[i], want)
		}
	}
	if fs := p.Findings(m, false); len(fs) != 1 || !strings.Contains(fs[0].What, "rough") {
		t.Errorf("%v", fs)
	}
}

func TestSeriesThatMoved(t *testing.T) {
	set := lit(t, 1000)
	member := func(name string, dx int, s greycard.Settings) greycard.Member {
		cam := measuretest.NewCamera()
		cam.Card = cam.Card.Add(image.Pt(dx, 0))
		p := taken(t, set.Shoot(cam))
		p.Path, p.Settings = name, s
		m, err := p.Measure(greycard.Region{X: 110, Y: 70, Width: 150, Height: 120})
		if err != nil {
			t.Fatal(err)
		}
		return p.Of(m, false)
	}
	told := greycard.Settings{Shutter: 1, ISO: 100}
	for _, c := range []struct {
		name   string
		series []greycard.Member
		says   string
	}{
		{"still", []greycard.Member{member("a", 0, told), member("b", 0, told)}, ""},
		{"moved", []greycard.Member{member("a", 0, told), member("b", 8, told)}, "card or camera was moved"},
		{"an exposure is missing", []greycard.Member{member("a", 0, told), member("b", 0, greycard.Settings{})}, "does not tell its exposure"},
		{"no exposure", []greycard.Member{member("a", 0, greycard.Settings{})}, "no picture tells its exposure"},
	} {
		fs := greycard.Compare(c.series)
		if (c.says == "") != (len(fs) == 0) || len(fs) > 1 || len(fs) == 1 && !strings.Contains(fs[0].What, c.says) {
			t.Errorf("%s: %v", c.name, fs)
		}
	}
	auto := member("a", 0, greycard.Settings{Shutter: 1, ISO: 100, AutoWhite: true})
	if fs := greycard.Compare([]greycard.Member{auto}); len(fs) != 0 {
		t.Errorf("a raw file's automatic white does not matter: %v", fs)
	}
	auto.Rough = true
	if fs := greycard.Compare([]greycard.Member{auto}); len(fs) != 1 || !strings.Contains(fs[0].What, "white balance") {
		t.Errorf("%v", fs)
	}
}

func TestRegionText(t *testing.T) {
	r := greycard.Region{X: 1200, Y: 800, Width: 400, Height: 300}
	if got, err := greycard.ParseRegion(r.String()); err != nil || got != r {
		t.Errorf("%v %v", got, err)
	}
	for _, text := range []string{"", "400", "400x300", "400x300+1", "400x300+-1+2", "50x300+1+2", "ax300+1+2", "400x300+1+99999999999999"} {
		if _, err := greycard.ParseRegion(text); err == nil {
			t.Errorf("%q is a region", text)
		}
	}
}

// Whatever a file holds, it is decoded or refused, and a small file never takes much
// memory.
func FuzzDecode(f *testing.F) {
	plain := image.NewRGBA64(image.Rect(0, 0, 64, 64))
	f.Add(asTIFF(f, plain))
	// Small seeds: the fuzzer makes every find as short as it can, byte by byte.
	for _, img := range []image.Image{image.NewRGBA64(image.Rect(0, 0, 64, 64)), image.NewGray16(image.Rect(0, 0, 64, 64))} {
		for _, o := range []tiff.Options{{Compression: tiff.Deflate, Predictor: true}, {Compression: tiff.Deflate}} {
			var b bytes.Buffer
			if err := tiff.Encode(&b, img, &o); err != nil {
				f.Fatal(err)
			}
			f.Add(b.Bytes())
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 64, 64)), nil); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	f.Add([]byte("II*\x00\x08\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, src []byte) {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		p, err := greycard.Decode("x", bytes.NewReader(src), int64(len(src)))
		runtime.ReadMemStats(&after)
		// 256 pixels a byte of 8 bytes each, twice over, and some megabytes for the
		// decoders themselves.
		if most := uint64(len(src))*greycard.PixelsPerByte*8*3 + 64<<20; after.TotalAlloc-before.TotalAlloc > most {
			t.Errorf("%d bytes took %d MiB", len(src), (after.TotalAlloc-before.TotalAlloc)>>20)
		}
		if err != nil {
			return
		}
		agree(t, src)
		if r, err := p.Find(); err == nil {
			if _, err := p.Measure(r); err != nil {
				t.Error(err)
			}
		}
	})
}

// agree holds what is read straight from a plain TIFF against the general decoder: bit
// for bit the same.
func agree(t *testing.T, src []byte) {
	t.Helper()
	p, err := greycard.Decode("x", bytes.NewReader(src), int64(len(src)))
	if err != nil {
		t.Fatal(err)
	}
	// A reader that cannot be read at any place goes the general way.
	q, err := greycard.Decode("x", struct{ io.ReadSeeker }{bytes.NewReader(src)}, int64(len(src)))
	if err != nil {
		return // the general decoder is stricter about what does not matter here
	}
	r := greycard.Region{Width: p.Width, Height: p.Height}
	a, err1 := p.Measure(r)
	b, err2 := q.Measure(r)
	if err1 != nil || err2 != nil || a.Mean != b.Mean || a.Noise != b.Noise || a.Bands != b.Bands {
		t.Errorf("%v %v\n%+v\n%+v", err1, err2, a, b)
	}
}

// Both ways of reading give the same, in both byte orders and any strips.
func TestPlainTIFF(t *testing.T) {
	img := image.NewRGBA64(image.Rect(0, 0, 120, 130))
	noise := rand.New(rand.NewPCG(3, 3))
	for i := range img.Pix {
		img.Pix[i] = byte(noise.IntN(256))
		if i%8 >= 6 {
			img.Pix[i] = 0xff
		}
	}
	agree(t, asTIFF(t, img))
}
