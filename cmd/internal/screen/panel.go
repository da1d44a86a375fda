package screen

import (
	"fmt"
	"slices"
	"strings"

	tea "charm.land/bubbletea/v2"

	"limn/cue/operate"
)

// panel is what is open over the picture.
type panel uint8

const (
	noPanel panel = iota
	cuesPanel
	looksPanel
	seriesPanel
	messagesPanel
	helpPanel
)

// item is one line of a panel.
type item struct {
	sign  string // how it stands, by shape
	text  string
	more  string
	says  string // on Enter; "" = nothing, " " at its end = to be finished
	title bool
}

func (m *model) open(p panel) {
	if m.panel == p {
		m.panel = noPanel
		return
	}
	m.panel = p
	items := itemsOf(&m.seen, &m.state, m.width)
	m.cursor = firstOf(items)
	if p == messagesPanel {
		m.cursor = max(len(items)-1, 0)
	}
	if i := slices.IndexFunc(items, func(it item) bool { return it.sign == signNow }); i >= 0 {
		m.cursor = i
	}
}

func firstOf(items []item) int {
	return max(slices.IndexFunc(items, func(it item) bool { return !it.title }), 0)
}

// Signs of items.
const (
	signNow  = "●"
	signOver = "◆"
	signNot  = "◇"
)

// messageLines is the most lines that one message takes in its panel.
const messageLines = 6

// itemsOf lists what the open panel holds, in so many columns.
func itemsOf(seen *Seen, ui *state, width int) []item {
	switch ui.panel {
	case cuesPanel:
		return cueItems(seen)
	case looksPanel:
		return lookItems(seen)
	case seriesPanel:
		return seriesItems(seen)
	case messagesPanel:
		var items []item
		for _, t := range ui.messages {
			for _, line := range wrap(t, width-6, messageLines) {
				items = append(items, item{text: line})
			}
		}
		if len(items) == 0 {
			items = []item{{text: "nothing was said yet", title: true}}
		}
		return items
	case helpPanel:
		return helpItems(ui)
	}
	return nil
}

// named is a command with a name as the grammar writes it.
func namedCommand(v operate.Verb, name string) string {
	return operate.Command{Verb: v, Name: name}.String()
}

func cueItems(seen *Seen) []item {
	items := []item{{text: "Cues", title: true}}
	for i, name := range seen.Shoot.CueNames() {
		it := item{text: clean(name), says: namedCommand(operate.Go, name), sign: " "}
		if seen.Snap.Cue == i {
			it.sign = signNow
		}
		if i < len(seen.Shoot.Resolved) && seen.Shoot.Resolved[i].HasAngle {
			it.more = fmt.Sprintf("%g°", seen.Shoot.Resolved[i].Azimuth)
		}
		if seen.Snap.Next == i {
			it.more = strings.TrimSpace(it.more + "  next")
		}
		items = append(items, it)
	}
	if len(seen.Shoot.Angles) > 0 {
		items = append(items, item{text: "Angles: the cue nearest to one", title: true})
	}
	for i := range seen.Shoot.Angles {
		a := &seen.Shoot.Angles[i]
		items = append(items, item{
			sign: " ", text: clean(a.Name), more: fmt.Sprintf("%g°", a.Azimuth),
			says: namedCommand(operate.GoTo, a.Name),
		})
	}
	return items
}

func lookItems(seen *Seen) []item {
	items := []item{{text: "Looks: they stay while you step", title: true}}
	for i := range seen.Shoot.Looks {
		name := seen.Shoot.Looks[i].Name
		on := slices.Contains(seen.Snap.Looks, name)
		items = append(items, item{
			sign: either(on, signOver, signNot), text: clean(name), more: either(on, "laid on", ""),
			says: operate.Command{Verb: operate.Look, Name: name, On: !on}.String(),
		})
	}
	if len(items) == 1 {
		items = append(items, item{text: "this shoot has no looks", title: true})
	}
	return items
}

// running are the commands of a sequence that runs, from the grammar.
var running = []operate.Verb{operate.Stop, operate.Rolling, operate.Cut, operate.Again}

func seriesItems(seen *Seen) []item {
	var items []item
	if s := seen.Snap; s.Sequence != "" {
		items = append(items, item{text: fmt.Sprintf("%s runs: %d of %d", clean(s.Sequence), s.Entry, s.Entries), title: true})
		for _, v := range running {
			items = append(items, item{sign: " ", text: string(v), more: helpOf(string(v)), says: string(v)})
		}
		items = append(items,
			item{sign: " ", text: "missed WHY", more: helpOf("missed WHY"), says: "missed "},
			item{sign: " ", text: "picture N", more: helpOf("picture N"), says: "picture "})
	}
	items = append(items, item{text: "Sequences", title: true})
	if len(seen.Shoot.Sequences) == 0 {
		items = append(items, item{text: "this shoot has none", title: true})
	}
	for i := range seen.Shoot.Sequences {
		name := seen.Shoot.Sequences[i].Name
		items = append(items, item{
			sign: either(name == seen.Snap.Sequence, signNow, " "), text: clean(name), says: namedCommand(operate.Play, name),
		})
	}
	return items
}

// helpOf is the grammar's own word about a command.
func helpOf(command string) string {
	for _, c := range operate.Grammar() {
		for _, u := range c.Commands {
			if u.Command == command {
				return u.Help
			}
		}
	}
	return ""
}

// inPanel moves in the open panel or chooses from it; false for keys that are not its.
func (m *model) inPanel(name string) (tea.Cmd, bool) {
	items := itemsOf(&m.seen, &m.state, m.width)
	page := max(panelLines(m.height)-2, 1)
	switch name {
	case "esc":
		m.panel = noPanel
	case "up":
		m.move(items, -1)
	case "down":
		m.move(items, 1)
	case "left":
		m.move(items, -page)
	case "right":
		m.move(items, page)
	case "home":
		m.cursor = firstOf(items)
	case "end":
		m.cursor = len(items) - 1
	case "enter":
		if m.cursor >= len(items) || items[m.cursor].says == "" {
			m.panel = noPanel
			return nil, true
		}
		says := items[m.cursor].says
		if m.panel != looksPanel {
			m.panel = noPanel
		}
		m.choose(says)
	default:
		return nil, false
	}
	return nil, true
}

// move goes so many lines on, past what cannot be chosen.
func (m *model) move(items []item, by int) {
	step := 1
	if by < 0 {
		step = -1
	}
	at := min(max(m.cursor+by, 0), len(items)-1)
	for at >= 0 && at < len(items) && items[at].title {
		at += step
	}
	if at >= 0 && at < len(items) {
		m.cursor = at
	}
}

// helpItems is the page of help: every key, then every command of the grammar.
func helpItems(ui *state) []item {
	items := []item{{text: "Keys: each of them works whatever is open", title: true}}
	for _, d := range deeds {
		var keys []string
		for _, k := range ui.keys.of(d.action) {
			keys = append(keys, capOf(k))
		}
		if len(keys) == 0 {
			keys = []string{"no key"}
		}
		items = append(items, item{sign: " ", text: strings.Join(keys, "  "), more: d.help})
	}
	if len(ui.keys.says) > 0 {
		items = append(items, item{text: "Your own keys", title: true})
		var own []string
		for key := range ui.keys.says {
			own = append(own, key)
		}
		slices.Sort(own)
		for _, key := range own {
			items = append(items, item{sign: " ", text: capOf(key), more: ui.keys.says[key]})
		}
	}
	for _, c := range operate.Grammar() {
		items = append(items, item{text: c.Title + " (Enter says it, or lets you finish it)", title: true})
		for _, u := range c.Commands {
			items = append(items, item{sign: " ", text: u.Command, more: u.Help, says: untilBlank(u.Command)})
		}
	}
	return items
}

// untilBlank is a command up to what the user must put in.
func untilBlank(command string) string {
	said := ""
	for _, w := range strings.Fields(command) {
		if isBlank(strings.TrimSuffix(w, ",")) {
			return said
		}
		said += w + " "
	}
	return strings.TrimRight(said, " ")
}
