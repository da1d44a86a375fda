package screen

import (
	"fmt"
)

// panelLines is about how many lines of a panel are in view.
func panelLines(height int) int { return max(height-headLines-8, 1) }

// panelOf draws the open panel in so many columns and lines.
func panelOf(seen *Seen, ui *state, width, lines int) []string {
	items := itemsOf(seen, ui, width)
	room := max(lines-2, 1)
	cursor := min(max(ui.cursor, 0), max(len(items)-1, 0))
	from := min(max(cursor-room/2, 0), max(len(items)-room, 0))
	out := []string{""}
	for i := from; i < min(from+room, len(items)); i++ {
		out = append(out, itemRow(&items[i], i == cursor, widest(items, i, width*45/100), width))
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

// widest is how wide the first column is among the items that stand under the same title as
// one of them, at most so wide.
func widest(items []item, of, most int) int {
	wide := 0
	for i := of; i >= 0 && !items[i].title; i-- {
		wide = max(wide, columns(items[i].text))
	}
	for i := of; i < len(items) && !items[i].title; i++ {
		wide = max(wide, columns(items[i].text))
	}
	return min(wide, most)
}

// itemRow is one item. Where the cursor stands is shown by a sign and by weight: a bright bar
// would light a dark room.
func itemRow(it *item, here bool, wide, width int) string {
	if it.title {
		return " " + set(strong, fit(it.text, width-2))
	}
	if it.more == "" { // nothing stands beside it
		wide = max(width-8, 1)
	}
	text := " " + fit(it.text, wide)
	if it.sign != "" {
		text = " " + it.sign + text
		wide += 2
	}
	if it.more != "" {
		text = pad(text, wide+1) + "  " + clean(it.more)
	}
	if here {
		return set(strong, fit(" ›"+text, width-2))
	}
	return fit("  "+text, width-2)
}
