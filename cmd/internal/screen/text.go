package screen

import (
	"strings"
	"unicode"

	"github.com/charmbracelet/x/ansi"
)

// How words are set off. None is a colour: a terminal without any shows the same.
const (
	strong  = "\x1b[1m"
	quiet   = "\x1b[2m"
	turned  = "\x1b[7m"
	normal  = "\x1b[m"
	parting = "   " // between the hints of a row
)

func set(style, text string) string {
	if text == "" || style == "" {
		return text
	}
	return style + text + normal
}

func columns(text string) int { return ansi.StringWidth(text) }

// fit cuts a line to a width, with a sign that it was.
func fit(text string, width int) string {
	if width <= 0 {
		return ""
	}
	return ansi.Truncate(text, width, "…")
}

// pad fills a line up to a width.
func pad(text string, width int) string {
	return text + strings.Repeat(" ", max(width-columns(text), 0))
}

// ends puts one text at the left end of a row and one at its right, which is never cut
// while there is room for it.
func ends(left, right string, width int) string {
	room := width - columns(right)
	if room < 0 {
		return fit(right, width)
	}
	return pad(fit(left, max(room-1, 0)), room) + right
}

// wrap parts a text into at most so many lines; the last is cut where there is more.
func wrap(text string, width, lines int) []string {
	if text == "" || width <= 0 || lines <= 0 {
		return nil
	}
	all := strings.Split(ansi.Wordwrap(text, width, " "), "\n")
	if len(all) > lines {
		all[lines-1] = strings.Join(all[lines-1:], " ")
		all = all[:lines]
	}
	for i := range all {
		all[i] = fit(all[i], width)
	}
	return all
}

// clean replaces what could move a cursor, hide text or turn its direction: names come
// out of files.
func clean(text string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r):
			return unicode.ReplacementChar
		}
		return r
	}, text))
}
