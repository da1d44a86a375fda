package dial

import "unicode"

// How wide characters are, as shares of the size of the type: those of a wide
// sans-serif, so that text fits whatever face a screen has.
const (
	narrowLetter = 0.36
	digitWidth   = 0.64
	letterWidth  = 0.63
	wideLetter   = 0.99
	capital      = 0.78
	fullWidth    = 1.05
	spaceWidth   = 0.33
	boldShare    = 1.1
)

func letter(r rune) float64 {
	switch {
	case combines(r):
		return 0
	case r == ' ':
		return spaceWidth
	case r >= '0' && r <= '9':
		return digitWidth
	}
	switch r {
	case 'i', 'j', 'l', 'I', '.', ',', ':', ';', '\'', '|', '!', '/', '(', ')', '[', ']', '·', '"':
		return narrowLetter + 0.1*b2f(r == '"' || r == '(' || r == ')')
	case 'f', 't', 'r', '-':
		return 0.42
	case 'm', 'M', 'W', '%', '@', '…', '—':
		return wideLetter + 0.01*b2f(r == '…')
	case 'w', '−', '+', '±', '=', '<', '>', '~', '#', '&':
		return 0.84
	}
	switch {
	case cells(r) == 2 || r > 0x2e80:
		return fullWidth
	case unicode.IsUpper(r):
		return capital
	case r < 0x0500:
		return letterWidth
	}
	return 0.95 // of scripts whose letters nobody measured here
}

func b2f(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// textWidth is how wide a line of text is at most.
func textWidth(text string, size float64, bold bool) float64 {
	w := 0.0
	for _, r := range text {
		w += letter(r)
	}
	if bold {
		w *= boldShare
	}
	return w * size
}

// fitted is a text shortened to a width, with a sign that it was.
func fitted(text string, size float64, bold bool, width float64) string {
	if textWidth(text, size, bold) <= width {
		return text
	}
	room := width - textWidth("…", size, bold)
	if room < 0 {
		return ""
	}
	used, end := 0.0, 0
	for i, r := range text {
		w := textWidth(string(r), size, bold)
		if used+w > room {
			break
		}
		used += w
		end = i + len(string(r))
	}
	if end == 0 {
		return "…"
	}
	return trimRight(text[:end]) + "…"
}

func trimRight(s string) string {
	for len(s) > 0 && s[len(s)-1] == ' ' {
		s = s[:len(s)-1]
	}
	return s
}

// lines breaks a text at its spaces into lines of a width, at most so many; the
// last is shortened where there is more.
func lines(text string, size float64, bold bool, width float64, most int) []string {
	var out []string
	for rest := clean(text); rest != "" && len(out) < most; {
		if len(out) == most-1 || textWidth(rest, size, bold) <= width {
			return append(out, fitted(rest, size, bold, width))
		}
		cut, used := 0, 0.0
		for i, r := range rest {
			if r == ' ' && used <= width {
				cut = i
			}
			if used += textWidth(string(r), size, bold); used > width {
				break
			}
		}
		if cut == 0 { // one long word
			return append(out, fitted(rest, size, bold, width))
		}
		out = append(out, rest[:cut])
		rest = clean(rest[cut:])
	}
	return out
}
