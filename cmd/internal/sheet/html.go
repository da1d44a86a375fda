package sheet

import (
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"limn/cue/plan"
)

// Page is what pictures a cue's page holds; what is nil is left out.
type Page struct {
	// Plans of the set, to scale: SVG elements with ids of their own. They stand in the
	// page as they are: whoever draws them escapes names.
	Camera, Boat []byte

	Picture *Image // of the model, drawn
	Frame   *Image // that was approved
}

// Image is a picture in a form that browsers show.
type Image struct {
	Type    string // "image/png", "image/jpeg", "image/gif" or "image/webp"
	Data    []byte
	Caption string
}

// Options of a sheet.
type Options struct {
	Revision string // a date or a letter, on every page
	Source   string // "from the files", or "as shot, from the session log run-000042"
	Slots    bool   // with the appendix of slots
}

// Types lists the kinds of image a sheet can hold.
func Types() []string { return []string{"image/png", "image/jpeg", "image/gif", "image/webp"} }

//go:embed sheet.html
var pageText string

//go:embed sheet.css
var styleText string

// wide is from how many values on a unit's slots are written in runs.
const wide = 24

var pages = template.Must(template.New("sheet").Funcs(template.FuncMap{
	"clean":  clean,
	"figure": figure,
	"known":  func(f plan.Figure) bool { return f.Known() },
	"join":   func(s []string) string { return clean(strings.Join(s, ", ")) },
	"orElse": func(text, other string) string {
		if text == "" {
			return other
		}
		return clean(text)
	},
	"slots":  slotsText,
	"trim":   trimText,
	"stands": standText,
	"cell":   cellText,
}).Parse(pageText))

// HTML writes the sheet as one self-contained file. Pages are parallel to the
// sheet's cues; missing ones have no pictures. The error is that of writing, or of an
// image of another type.
func HTML(w io.Writer, s *plan.Sheet, pictures []Page, opt Options) error {
	type cuePage struct {
		*plan.SheetCue
		CameraPlan, BoatPlan template.HTML
		Picture, Frame       *embedded
		Number               int
	}
	view := struct {
		*plan.Sheet
		Style    template.CSS
		Pages    []cuePage
		Options  Options
		Head     string
		HasNotes bool
	}{Sheet: s, Style: template.CSS(styleText), Options: opt, HasNotes: len(s.Notes) > 0} //nolint:gosec // ours, embedded
	view.Head = clean(fmt.Sprintf("%s  1:%g", s.Name, s.Scale))
	for i := range s.Cues {
		p := cuePage{SheetCue: &s.Cues[i], Number: i + 1}
		if i < len(pictures) {
			var err error
			p.CameraPlan, p.BoatPlan = template.HTML(pictures[i].Camera), template.HTML(pictures[i].Boat) //nolint:gosec // drawn by ours, which escapes names
			if p.Picture, err = embed(pictures[i].Picture); err != nil {
				return err
			}
			if p.Frame, err = embed(pictures[i].Frame); err != nil {
				return err
			}
		}
		view.Pages = append(view.Pages, p)
	}
	return pages.Execute(w, view)
}

// embedded is an image as a page holds it.
type embedded struct {
	URL     template.URL
	Caption string
}

func embed(img *Image) (*embedded, error) {
	if img == nil {
		return nil, nil //nolint:nilnil // no image is no fault
	}
	for _, t := range Types() {
		if img.Type == t {
			url := "data:" + t + ";base64," + base64.StdEncoding.EncodeToString(img.Data)
			return &embedded{template.URL(url), clean(img.Caption)}, nil //nolint:gosec // base64 of a known type
		}
	}
	return nil, fmt.Errorf("an image of type %q cannot stand in a page; it takes %s", img.Type, strings.Join(Types(), ", "))
}

// clean replaces what hides text or turns its direction; the template escapes the rest.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r), r == 0xfffe, r == 0xffff:
			return unicode.ReplacementChar
		}
		return r
	}, strings.ToValidUTF8(text, string(unicode.ReplacementChar)))
}

// figure is a figure as written, or that it is not known.
func figure(f plan.Figure) string {
	if !f.Known() {
		return "not known"
	}
	return clean(f.Text)
}

// trimText says which light evens an exposure out.
func trimText(b plan.Balanced) string {
	if b.Trim == nil {
		return clean(b.Say)
	}
	return clean(fmt.Sprintf("%s by %s", b.Trim.Name, plan.SignedStops(b.Trim.Stops)))
}

// standText is where a card or source stands, its mark first: that is what hands look for.
func standText(s plan.SheetStand) string {
	text := clean(s.Place)
	if s.Mark != "" {
		text = clean(s.Mark) + " (" + text + ")"
	}
	return text
}

// cellText is a full-size item's figure by its key, "" where it is not known.
func cellText(item plan.FullItem, key string) string {
	for i := range item.Figures {
		if f := &item.Figures[i]; f.Key == key && f.Known() {
			return clean(f.Text)
		}
	}
	return ""
}

// slotsText writes slots; long units whose slots repeat in groups, as those of a
// strip's cells do, in short.
func slotsText(u plan.SheetSlots) string {
	if len(u.Values) <= wide {
		return numbers(u.Values)
	}
	each := period(u.Values)
	var runs []string
	for i := 0; i < len(u.Values); {
		group := u.Values[i:min(i+each, len(u.Values))]
		k := i + len(group)
		for k+each <= len(u.Values) && slices.Equal(u.Values[k:k+each], group) {
			k += each
		}
		text := numbers(group)
		if n := (k - i) / len(group); n > 1 {
			text = fmt.Sprintf("%dx(%s)", n, text)
		}
		runs = append(runs, text)
		i = k
	}
	return strings.Join(runs, " ")
}

// mostEach is the most slots that a repeated group may have.
const mostEach = 12

// period is the length of group whose repeats leave the fewest.
func period(v []int) int {
	best, left := 1, len(v)+1
	for each := 1; each <= mostEach; each++ {
		groups := 0
		for i := 0; i < len(v); i += each {
			if i < each || i+each > len(v) || !slices.Equal(v[i:i+each], v[i-each:i]) {
				groups++
			}
		}
		if n := groups * each; n < left {
			best, left = each, n
		}
	}
	return best
}

func numbers(v []int) string {
	words := make([]string, len(v))
	for i := range v {
		words[i] = strconv.Itoa(v[i])
	}
	return strings.Join(words, " ")
}
