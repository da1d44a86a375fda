package screen

import (
	"fmt"
)

// panelLines is about how many lines of a panel are in view.
func panelLines(height int) int { return max(height-headLines-8, 1) }

// panelOf draws the open panel in so many columns and lines.
func panelOf(seen *Seen, ui *state, width, lines int) []string {
	items := itemsOf(seen, ui)
	room := max(lines-2, 1)
	cursor := min(max(ui.cursor, 0), max(len(items)-1, 0))
	from := min(max(cursor-room/2, 0), max(len(items)-room, 0))
	wide := 0
	for _, it := range items {
		if !it.title {
			wide = max(wide, columns(it.text))
		}
	}
	wide = min(wide, width*45/100)
	out := []string{""}
	for i := from; i < min(from+room, len(items)); i++ {
		out = append(out, itemRow(&items[i], i == cursor, wide, width))
	}
	for len(out) < lines-1 {
		out = append(out, "")
	}
	where := ""
	if len(items) > room {
		where = fmt.Sprintf(", %d to %d of %d", from+1, min(from+room, len(items)), len(items))
	}
	return append(out, set(quiet, fit(" ↑↓ move, ←→ by pages, Enter chooses, Esc closes"+where, width)))
}

func itemRow(it *item, here bool, wide, width int) string {
	if it.title {
		return " " + set(strong, fit(it.text, width-2))
	}
	if it.more == "" { // a message: as wide as it is
		wide = max(wide, width-8)
	}
	text := " " + pad(fit(it.text, wide), wide)
	if it.sign != "" {
		text = " " + it.sign + text
	}
	if it.more != "" {
		text += "  " + clean(it.more)
	}
	text = fit(" "+text, width-2)
	if here {
		return set(turned, pad(text, width-2))
	}
	return text
}
