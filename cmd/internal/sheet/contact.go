package sheet

import (
	"errors"
	"image"
	"image/color"
	"image/draw"
	"strings"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"limn/fixtures/reflect"
)

// Frame is one picture of a contact sheet, with what stands below it.
type Frame struct {
	Picture image.Image // nil = none: a grey card of the usual size with Why on it
	Why     string      // there is none
	Slate   string
	Lines   []string // broken where they are too long
}

// Looks of a contact sheet, as shares of a picture's width so that any size reads alike.
const (
	contactSlate = 0.034 // height of its letters
	contactText  = 0.024
	contactGap   = 0.025
	leastText    = 9 // pixels
	mostLines    = 8 // of a caption; the rest is left out
	mostRunes    = 400
)

// The sheet is dark, as pictures are looked at; its words are far above it in contrast.
var (
	contactGround = color.Gray{Y: 24}
	contactInk    = color.Gray{Y: 235}
	contactDim    = color.Gray{Y: 176}
	contactEmpty  = color.Gray{Y: 70}
)

// Contact lays pictures out on one sheet, with captions. Size is that of a frame
// without a picture.
func Contact(frames []Frame, size reflect.Size) (*image.RGBA, error) {
	if len(frames) == 0 {
		return image.NewRGBA(image.Rectangle{}), nil
	}
	w := float64(size.Width)
	slate, err := newFace(gobold.TTF, w*contactSlate)
	text, err2 := newFace(goregular.TTF, w*contactText)
	if err = errors.Join(err, err2); err != nil {
		return nil, err
	}
	defer slate.Close()
	defer text.Close()
	lines := 0
	pictures := make([]image.Image, len(frames))
	captions := make([][]string, len(frames))
	for i := range frames {
		for _, t := range frames[i].Lines {
			captions[i] = append(captions[i], wrap(plainText(t), text, size.Width)...)
		}
		captions[i] = captions[i][:min(len(captions[i]), mostLines)]
		lines = max(lines, len(captions[i]))
		pictures[i] = frames[i].Picture
		if pictures[i] == nil {
			pictures[i] = missingPicture(size, frames[i].Why, text)
		}
	}
	lead := text.Metrics().Height.Ceil()
	head := slate.Metrics().Height.Ceil()
	layout := reflect.Contact{Gap: int(w * contactGap), Caption: head + lines*lead + lead/2, Ground: contactGround}
	out, boxes := layout.Sheet(pictures)
	for i, box := range boxes {
		y := box.Min.Y + slate.Metrics().Ascent.Ceil()
		line(out, slate, contactInk, box, y, frames[i].Slate)
		y = box.Min.Y + head + text.Metrics().Ascent.Ceil()
		for _, t := range captions[i] {
			line(out, text, contactDim, box, y, t)
			y += lead
		}
	}
	return out, nil
}

func newFace(ttf []byte, size float64) (font.Face, error) {
	f, err := opentype.Parse(ttf)
	if err != nil {
		return nil, err
	}
	return opentype.NewFace(f, &opentype.FaceOptions{Size: max(size, leastText), DPI: 72, Hinting: font.HintingFull})
}

// missingPicture is a frame that says why it is empty.
func missingPicture(size reflect.Size, why string, face font.Face) image.Image {
	img := image.NewRGBA(image.Rect(0, 0, size.Width, size.Height))
	draw.Draw(img, img.Bounds(), image.NewUniform(contactEmpty), image.Point{}, draw.Src)
	box := img.Bounds().Inset(size.Width / 20)
	lead := face.Metrics().Height.Ceil()
	y := box.Min.Y + face.Metrics().Ascent.Ceil()
	for _, t := range wrap("no picture: needs "+why, face, box.Dx()) {
		if y > box.Max.Y {
			break
		}
		line(img, face, contactInk, box, y, t)
		y += lead
	}
	return img
}

// wrap breaks a text into lines of a width.
func wrap(text string, face font.Face, width int) []string {
	var lines []string
	at := ""
	for _, word := range strings.Fields(text) {
		next := strings.TrimSpace(at + " " + word)
		if at != "" && font.MeasureString(face, next).Ceil() > width {
			lines, next = append(lines, at), word
		}
		at = next
	}
	return append(lines, at)
}

// plainText is text without what hides or turns it, no longer than any line of a
// sheet: measuring a hostile one would take for ever.
func plainText(text string) string {
	runes := []rune(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "?")))
	return string(runes[:min(len(runes), mostRunes)])
}

// line writes one line of text into a box, cut with an ellipsis where it is too long.
func line(img draw.Image, face font.Face, ink color.Color, box image.Rectangle, y int, text string) {
	runes := []rune(plainText(text))
	for len(runes) > 0 && font.MeasureString(face, string(runes)).Ceil() > box.Dx() {
		runes = runes[:len(runes)-1]
		if len(runes) > 0 {
			runes[len(runes)-1] = '…'
		}
	}
	d := font.Drawer{Dst: img, Src: image.NewUniform(ink), Face: face, Dot: fixed.P(box.Min.X, y)}
	d.DrawString(string(runes))
}
