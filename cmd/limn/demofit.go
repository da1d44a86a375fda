package main

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// omission is what a picture leaves out to fit on a low screen.
type omission struct {
	limits, blanks bool
	hands, rows    int  // so many from the end
	sources        bool // not even how many there are
	hand           bool // not even the first
	next, table    bool
}

// omissions go from nothing to all but the title, the cue and the counts, each
// leaving out more than the one before.
func (s *scene) omissions() []omission {
	var o omission
	steps := []omission{o}
	leave := func(out func()) { out(); steps = append(steps, o) }
	leave(func() { o.limits = true })
	leave(func() { o.blanks = true })
	for o.hands < len(s.hands)-1 {
		leave(func() { o.hands++ })
	}
	for o.rows < len(s.rows) {
		leave(func() { o.rows++ })
	}
	leave(func() { o.sources = true })
	leave(func() { o.hand = true })
	leave(func() { o.next = true })
	leave(func() { o.table = true })
	return steps
}

// view draws a scene on a screen of so many characters and lines; a height of 0
// is no limit. One line stays free for the cursor: a picture as tall as the
// screen would push its own top into the scrollback at every drawing.
func (s *scene) view(width, height int) string {
	var lines []string
	for _, o := range s.omissions() {
		if lines = s.lines(width, o); height <= 0 || len(lines) < height {
			break
		}
	}
	if height > 0 {
		lines = lines[:min(len(lines), height-1)]
	}
	var b strings.Builder
	for _, l := range lines {
		b.WriteString(l + "\n")
	}
	return b.String()
}

// lines draws a scene, less an omission.
func (s *scene) lines(width int, o omission) []string {
	var lines []string
	line := func(format string, args ...any) {
		text := strings.TrimRight(clean(fmt.Sprintf(format, args...)), " ")
		lines = append(lines, cut(text, width))
	}
	blank := func() {
		if !o.blanks {
			line("")
		}
	}
	line("%s, 1:%g", s.subject, s.scale)
	blank()
	if !o.table {
		line("  table %-6s %s", turnText(s.azimuth), s.angle)
	}
	line("  cue   %-18s %s", s.cue, s.motionText(width))
	if s.next != "" && !o.next {
		line("  next  %s", s.next)
	}
	if !o.hand {
		for _, text := range s.handLines(width, o.hands) {
			line("%s", text)
		}
	}
	blank()
	shown := s.rows[:len(s.rows)-o.rows]
	if len(shown) > 0 {
		line("%s", rowText(width, "source", "role", rulerScale(), "stops", "asked", "receiver reads", "level"))
	}
	for i := range shown {
		line("%s", shown[i].text(width))
	}
	switch {
	case o.rows == 0 || o.sources:
	case len(shown) == 0:
		line("  %s", count(o.rows, "source"))
	default:
		line("  and %s", count(o.rows, "more source"))
	}
	if len(s.limits) > 0 && !o.limits {
		blank()
		for _, l := range s.limits {
			line("  %s", l)
		}
	}
	blank()
	line("%s", s.countsText(width))
	return lines
}

// handLines say what hands have to do; the last says how many more there are.
func (s *scene) handLines(width, omitted int) []string {
	var lines []string
	word := "hands"
	for _, h := range s.hands[:max(0, len(s.hands)-omitted)] {
		lines = append(lines, fmt.Sprintf("  %-5s %s", word, h))
		word = ""
	}
	if last := len(lines) - 1; last >= 0 && omitted > 0 {
		more := fmt.Sprintf(", and %d more", omitted)
		lines[last] = cut(clean(lines[last]), max(0, width-utf8.RuneCountInString(more))) + more
	}
	return lines
}
