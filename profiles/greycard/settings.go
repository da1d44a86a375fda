package greycard

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
	"time"

	"github.com/bep/imagemeta"
)

// Settings are what a picture says of how it was taken (EXIF 2.32). Zero is not told.
type Settings struct {
	Shutter  float64 // seconds
	Aperture float64 // f-number
	ISO      float64
	Taken    time.Time // by the camera's clock, to the second
	// AutoWhite says that the camera chose its white by itself, picture by picture.
	AutoWhite bool
	Camera    string
}

// Known says whether the exposure is told: its time and its ISO. A lens that tells no
// f-number stands still.
func (s Settings) Known() bool { return s.Shutter > 0 && s.ISO > 0 }

// Exposure is t·ISO/N², in seconds; 1 where nothing is known. Without an f-number N
// is 1: what counts is how pictures compare.
func (s Settings) Exposure() float64 {
	if !s.Known() {
		return 1
	}
	n := s.Aperture
	if n == 0 {
		n = 1
	}
	return s.Shutter * s.ISO / (n * n)
}

func (s Settings) String() string {
	if !s.Known() {
		return "exposure not told"
	}
	text := fmt.Sprintf("%.4g s", s.Shutter)
	if s.Shutter < 0.3 {
		text = fmt.Sprintf("1/%.4g s", 1/s.Shutter)
	}
	if s.Aperture > 0 {
		text += fmt.Sprintf(", f/%.3g", s.Aperture)
	}
	return fmt.Sprintf("%s, ISO %.0f", text, s.ISO)
}

// Limits of reading what a picture says.
const (
	maxTags    = 2000
	maxTag     = 4096 // bytes
	exifTime   = 5 * time.Second
	exifLayout = "2006:01:02 15:04:05"
)

// formats are the kinds of file that hold settings, by their ending.
var formats = map[string]imagemeta.ImageFormat{
	".dng": imagemeta.DNG, ".cr2": imagemeta.CR2, ".nef": imagemeta.NEF, ".arw": imagemeta.ARW, ".pef": imagemeta.PEF,
}

// readSettings reads what a picture says of itself; what cannot be read is not told.
func readSettings(r io.ReadSeeker, path string) (s Settings) {
	start := make([]byte, len(jpegStart))
	if _, err := io.ReadFull(r, start); err != nil {
		return s
	}
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return s
	}
	format, ok := formats[strings.ToLower(filepath.Ext(path))]
	switch {
	case ok:
	case bytes.Equal(start, jpegStart):
		format = imagemeta.JPEG
	default:
		format = imagemeta.TIFF
	}
	defer func() {
		if recover() != nil { // a library's trouble with somebody's file costs only the settings
			s = Settings{}
		}
	}()
	var maker, model string
	_, err := imagemeta.Decode(imagemeta.Options{
		R: r, ImageFormat: format, Sources: imagemeta.EXIF,
		ShouldHandleTag: func(imagemeta.TagInfo) bool { return true },
		LimitNumTags:    maxTags, LimitTagSize: maxTag, Timeout: exifTime,
		HandleTag: func(tag imagemeta.TagInfo) error {
			switch tag.Tag {
			case "ExposureTime":
				s.Shutter = within(tag.Value, 1e-6, 1e5)
			case "FNumber":
				s.Aperture = within(tag.Value, 0.3, 1000)
			case "ISO", "ISOSpeedRatings", "PhotographicSensitivity":
				if v := within(tag.Value, 1, 1e8); v > 0 {
					s.ISO = v
				}
			case "WhiteBalance":
				// 0 = automatic, 1 = set by hand; a TIFF without the tag has none.
				s.AutoWhite = number(tag.Value) == 0
			case "DateTimeOriginal":
				if text, ok := tag.Value.(string); ok {
					if t, err := time.Parse(exifLayout, strings.TrimRight(text, "\x00 ")); err == nil {
						s.Taken = t
					}
				}
			case "Make":
				maker = word(tag.Value)
			case "Model":
				model = word(tag.Value)
			}
			return nil
		},
	})
	if err != nil && !s.Known() {
		s = Settings{}
	}
	s.Camera = strings.TrimSpace(maker + " " + model)
	return s
}

// within is a tag's number where it lies in a range, 0 elsewhere.
func within(value any, low, high float64) float64 {
	if v := number(value); v >= low && v <= high {
		return v
	}
	return 0
}

// number is a tag's value, NaN where it is none.
func number(value any) float64 {
	switch v := value.(type) {
	case float64:
		return v
	case float32:
		return float64(v)
	case int:
		return float64(v)
	case int64:
		return float64(v)
	case int32:
		return float64(v)
	case int16:
		return float64(v)
	case uint8:
		return float64(v)
	case uint16:
		return float64(v)
	case uint32:
		return float64(v)
	case uint64:
		return float64(v)
	case []uint16:
		if len(v) > 0 {
			return float64(v[0])
		}
	case interface{ Float64() float64 }:
		return v.Float64()
	}
	return math.NaN()
}

// maxWord is the most characters of a camera's name that are kept.
const maxWord = 60

func word(value any) string {
	text, ok := value.(string)
	if !ok {
		return ""
	}
	text = strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, text))
	return string([]rune(text)[:min(len([]rune(text)), maxWord)])
}
