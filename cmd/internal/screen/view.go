package screen

import (
	"slices"
	"strings"

	"limn/cmd/internal/dial"
	"limn/cue"
)

// Heights from which there is room for more below the picture.
const (
	roomyLines = 30 // messages of two lines, and hints for every key
	leastLines = 16 // hints at all
	headLines  = 2  // of the picture, which stay in view over an open panel
	leastDial  = 8  // below, answers give way to the picture
)

// mark stands before the name of the light in hand, wherever the picture has it.
const mark = "▸ "

// draw is the whole screen: at most so many columns and lines, and where the cursor of
// the line being typed stands, -1 where none is.
func draw(seen *Seen, ui *state, width, height int) (text string, x, y int) {
	if seen.Shoot == nil || width <= 0 || height <= 0 {
		return "", -1, -1
	}
	below, x, row := belowOf(seen, ui, width, height)
	top := height - len(below)
	if row >= 0 {
		y = top + row
	} else {
		x, y = -1, -1
	}
	var lines []string
	if ui.panel != noPanel && top > headLines+2 {
		lines = strings.Split(dial.Text(seen.Shoot, seen.Snap, width, headLines, !ui.plain), "\n")
		lines = append(pages(lines, headLines), panelOf(seen, ui, width, top-headLines)...)
	} else {
		lines = strings.Split(dial.Text(marked(seen.Shoot, ui.hand), silent(seen.Snap), width, top, !ui.plain), "\n")
	}
	lines = append(pages(lines, top), below...)
	for i := range lines {
		lines[i] = strings.TrimRight(fit(lines[i], width), " ")
	}
	return strings.Join(lines, "\n"), x, y
}

// pages makes lines exactly so many.
func pages(lines []string, n int) []string {
	for len(lines) < n {
		lines = append(lines, "")
	}
	return lines[:max(n, 0)]
}

// marked is a shoot in which the name of the light in hand has its mark.
func marked(s *cue.Shoot, hand int) *cue.Shoot {
	if hand < 0 || hand >= len(s.Rig.Sources) {
		return s
	}
	shoot, rig := *s, *s.Rig
	rig.Sources = slices.Clone(rig.Sources)
	rig.Sources[hand].Name = mark + rig.Sources[hand].Name
	shoot.Rig = &rig
	return &shoot
}

// silent is a snapshot whose messages and question are told elsewhere.
func silent(s *cue.Snapshot) *cue.Snapshot {
	out := *s
	out.Notices, out.Question, out.Choices = nil, "", nil
	return &out
}

// belowOf are the rows below the picture, the column of the cursor and its row.
func belowOf(seen *Seen, ui *state, width, height int) (rows []string, x, row int) {
	x, row = -1, -1
	last := fixedRow(seen, ui, width)
	if height < 4 {
		return []string{last}, -1, -1
	}
	asked := seen.Snap.Question != ""
	messageLines := 1
	if height >= roomyLines {
		messageLines = 2
	}
	hintLines := 0
	switch {
	case height >= roomyLines:
		hintLines = 8
	case height >= leastLines:
		hintLines = 3
	}
	if ui.line != nil {
		room := messageLines + len(hintRows(seen, ui, width, hintLines)) // so that the picture stays as it is
		rows = append(rows, candidates(ui.line, width, max(room-1, 1))...)
		text, at := typedRow(ui.line, width)
		x, row = at, len(rows)
		rows = append(rows, text)
		if room > 1 {
			rows = append(rows, fit(typingHints, width))
		}
		return append(rows, last), x, row
	}
	if rows = append(rows, handRow(seen, ui, width)); !asked {
		rows = append(rows, pages(messageRows(ui, width, messageLines), messageLines)...)
	}
	switch {
	case asked:
		rows = append(rows, answers(seen, width, max(height-leastDial-len(rows)-1, 1))...)
	case hintLines > 0:
		rows = append(rows, hintRows(seen, ui, width, hintLines)...)
	}
	rows = rows[:min(len(rows), height-1)]
	return append(rows, last), x, row
}

// typingHints are the keys while words are typed.
const typingHints = " " + strong + "Enter" + normal + " says it" + parting + strong + "Tab" + normal + " completes" + parting +
	strong + "↑↓" + normal + " typed before" + parting + strong + "Esc" + normal + " leaves"

// messageRows tell the latest answer, or what a first press waits for.
func messageRows(ui *state, width, lines int) []string {
	if ui.armed == Quit {
		return []string{set(turned, fit(" "+ui.keys.cap1(Quit)+" once more within a second: end the run, with the lights as on-exit says ", width))}
	}
	sign, style := " ", ""
	if ui.trouble {
		sign, style = "!", strong
	}
	out := wrap(ui.latest, width-4, lines)
	for i := range out {
		head := "   "
		if i == 0 {
			head = " " + sign + " "
		}
		out[i] = head + set(style, out[i])
	}
	return out
}

// answers are the question that stands and its numbered answers.
func answers(seen *Seen, width, most int) []string {
	s := seen.Snap
	first, rest, _ := strings.Cut(s.Question, "\n")
	rows := []string{set(turned, fit(" "+clean(first)+" ", width))}
	details := strings.Split(rest, "\n")
	room := most - 1 - len(s.Choices)
	for _, d := range details {
		if d = clean(d); d == "" || room <= 0 {
			continue
		}
		room--
		rows = append(rows, "   "+fit(d, width-4))
	}
	wide := 0
	for _, c := range s.Choices {
		wide = max(wide, columns(clean(c.Command)))
	}
	wide = min(wide, width/2)
	for i, c := range s.Choices {
		says := clean(c.Command)
		if strings.HasSuffix(c.Command, " ") {
			says += " …"
		}
		rows = append(rows, " "+set(strong, digit(i))+"  "+fit(set(strong, pad(fit(says, wide+2), wide+2))+" "+clean(c.Text), width-5))
	}
	return rows
}

func digit(i int) string {
	if i > 8 {
		return "·" // to be typed
	}
	return string(rune('1' + i))
}

// candidates are what the line may go on to be, in at most so many rows.
func candidates(l *line, width, rows int) []string {
	if l.fault != "" {
		return pages(prefixed(" ! ", strong, wrap(l.fault, width-4, rows)), rows)
	}
	var out []string
	line, used := "   ", 3
	for i, c := range l.cands {
		word := clean(c)
		if from := len(wordsBefore(string(l.text), c)); from < len(c) && l.tried < 0 {
			word = clean(c[from:])
		}
		if used+columns(word)+2 > width-2 && used > 3 {
			out = append(out, line)
			line, used = "   ", 3
			if len(out) == rows {
				out[rows-1] = fit(out[rows-1]+"…", width)
				return out
			}
		}
		style := ""
		if i == l.tried {
			style = turned
		}
		word = fit(word, max(width-used-2, 1))
		line += set(style, word) + "  "
		used += columns(word) + 2
	}
	return pages(append(out, line), rows)
}

func prefixed(head, style string, lines []string) []string {
	for i := range lines {
		lines[i] = head + set(style, lines[i])
		head = "   "
	}
	return lines
}

// wordsBefore is the beginning that a line and its completion share, to the last space.
func wordsBefore(text, completion string) string {
	n := 0
	for n < len(text) && n < len(completion) && strings.EqualFold(text[n:n+1], completion[n:n+1]) {
		n++
	}
	return completion[:strings.LastIndexByte(completion[:n], ' ')+1]
}

// typedRow is the line being typed, and the column of its cursor.
func typedRow(l *line, width int) (text string, x int) {
	const prompt = " › "
	room := max(width-columns(prompt)-1, 1)
	before, after := string(l.text[:l.at]), string(l.text[l.at:])
	for columns(before) > room {
		runes := []rune(before)
		before = string(runes[1:])
	}
	x = columns(prompt) + columns(before)
	return fit(set(strong, prompt)+before+fit(after, max(room-columns(before), 0)), width), min(x, width-1)
}
