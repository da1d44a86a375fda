package screen

import (
	"fmt"
	"slices"
	"strings"
	"time"

	tea "charm.land/bubbletea/v2"

	"limn/cue"
	"limn/cue/operate"
)

// press does what a key does. While words are typed all keys are theirs; a panel takes
// those that move in it; all else works whatever is open.
func (m *model) press(k tea.Key) tea.Cmd {
	name := k.String()
	if name == "ctrl+c" {
		m.interrupted = true
		return tea.Quit
	}
	if m.seen.Shoot == nil {
		return nil // nothing is seen yet
	}
	if m.line != nil {
		return m.typing(k)
	}
	if m.panel != noPanel {
		if cmd, ok := m.inPanel(name); ok {
			return cmd
		}
	}
	if len(name) == 1 && name[0] >= '1' && name[0] <= '9' {
		return m.answer(int(name[0] - '1'))
	}
	if words, ok := m.keys.says[name]; ok {
		return m.send(m.withLight(words))
	}
	a, ok := m.keys.acts[name]
	if !ok {
		if name == "esc" {
			m.latest, m.trouble, m.armed = "", false, ""
		}
		return nil
	}
	return m.act(a)
}

// typing edits the line of words.
func (m *model) typing(k tea.Key) tea.Cmd {
	switch k.Keystroke() {
	case "esc":
		m.line = nil
	case "enter":
		text := strings.TrimSpace(string(m.line.text))
		if text == "" {
			m.line = nil
			return nil
		}
		return m.send(text)
	case "up":
		m.line.recall(m.typed, 1, m.seen.Shoot)
	case "down":
		m.line.recall(m.typed, -1, m.seen.Shoot)
	case "pgdown", "pgup": // a clicker works whatever is open
		if a, ok := m.keys.acts[k.Keystroke()]; ok {
			return m.act(a)
		}
	default:
		m.line.key(k, m.seen.Shoot)
	}
	return nil
}

// write opens the line of words with some that stand there already.
func (m *model) write(text string) {
	m.line = &line{}
	m.line.set(text, m.seen.Shoot)
	m.panel = noPanel
}

// answer gives the answer of that number to the question that stands.
func (m *model) answer(i int) tea.Cmd {
	choices := m.seen.Snap.Choices
	if m.seen.Snap.Question == "" || i >= len(choices) {
		return nil
	}
	m.choose(choices[i].Command)
	return nil
}

// choose says a command, or has it finished where it asks for more.
func (m *model) choose(command string) {
	if strings.HasSuffix(command, " ") {
		m.write(command)
		return
	}
	m.say(command)
}

// light is the name of the light in hand as the grammar writes it.
func (m *model) light() (string, bool) {
	if m.hand < 0 || m.hand >= len(m.seen.Shoot.Rig.Sources) {
		return "", false
	}
	quoted := operate.Command{Verb: operate.Aim, Name: m.seen.Shoot.Rig.Sources[m.hand].Name}.String()
	return strings.TrimPrefix(quoted, string(operate.Aim)+" "), true
}

const lightBlank = "{light}"

func (m *model) withLight(words string) string {
	name, _ := m.light()
	return strings.ReplaceAll(words, lightBlank, name)
}

// lit says words about the light in hand.
func (m *model) lit(words string) {
	if _, ok := m.light(); !ok {
		m.tell("there is no light to take in hand", true)
		return
	}
	m.say(m.withLight(words))
}

// switched says a verb about the light in hand, or "off" where it is on already.
func (m *model) switched(verb operate.Verb, now int) {
	if now == m.hand && now >= 0 {
		m.say(string(verb) + " off")
		return
	}
	m.lit(string(verb) + " " + lightBlank)
}

// act does an action.
func (m *model) act(a Action) tea.Cmd {
	s := m.seen.Snap
	if a == Dark || a == Quit {
		return m.twice(a)
	}
	m.armed = ""
	switch a {
	case GoOn:
		if n := len(s.Prompts); n > 0 && strings.HasSuffix(s.Prompts[n-1], rollingWords) {
			m.tell(fmt.Sprintf("the table moves next: say rolling once the camera runs (%s, rolling)", m.keys.cap1(Series)), false)
			return nil // no matter for an Enter too many
		}
		m.say("")
	case Hold:
		m.say(either(s.Motion == cue.Held, "resume", "hold"))
	case Light:
		if s.Dark {
			m.say("dark off")
		}
	case Work:
		m.say(either(s.Work, "work light off", "work light on"))
	case Exposure:
		m.say(either(s.Exposure, "hold exposure off", "hold exposure on"))
	case Compare:
		m.say(either(s.Offered, "trimmed", "kept"))
	case WholeUp:
		m.say("whole up 1/3 stop")
	case WholeDn:
		m.say("whole down 1/3 stop")
	case InHand:
		m.take(1)
	case Before:
		m.take(-1)
	case Brighter:
		m.lit("trim {light} up 1/3 stop")
	case Darker:
		m.lit("trim {light} down 1/3 stop")
	case Warmer:
		m.lit("trim {light} 10 mired warmer")
	case Cooler:
		m.lit("trim {light} 10 mired cooler")
	case Greener:
		m.lit("trim {light} tint +0.001")
	case Pinker:
		m.lit("trim {light} tint -0.001")
	case Identify:
		m.switched(operate.Identify, s.Identify)
	case Aim:
		m.switched(operate.Aim, s.Aim)
	case Alone:
		m.switched(operate.Alone, s.Alone)
	case Without:
		m.lit(either(slices.Contains(s.Without, m.hand), "with", "without") + " " + lightBlank)
	case Note:
		m.write("note ")
	case Words:
		m.write("")
	case Cues:
		m.open(cuesPanel)
	case Looks:
		m.open(looksPanel)
	case Series:
		m.open(seriesPanel)
	case Messages:
		m.open(messagesPanel)
	case Help:
		m.open(helpPanel)
	default: // next, back, confirm, quicker, slower, undo, redo, keep: what they are called
		m.say(string(a))
	}
	return nil
}

// rollingWords end what is asked before a table turns for the camera.
const rollingWords = ": rolling?"

func either(is bool, then, otherwise string) string {
	if is {
		return then
	}
	return otherwise
}

// take takes the next light in hand.
func (m *model) take(step int) {
	list := lights(m.seen.Shoot)
	if len(list) == 0 {
		return
	}
	i := slices.Index(list, m.hand)
	m.hand = list[(i+step+len(list))%len(list)]
}

// twice does a deed on its second press within [Twice]. A key that is held goes on
// giving presses: they do nothing until it was let go for as long.
func (m *model) twice(a Action) tea.Cmd {
	now := m.now()
	if m.spentOn == a && now.Sub(m.spent) < Twice {
		m.spent = now
		return nil
	}
	if a == Dark && m.seen.Snap.Dark {
		return nil
	}
	if m.armed == a && now.Sub(m.armedAt) < Twice {
		m.armed, m.spentOn, m.spent = "", a, now
		m.say(either(a == Dark, "dark", "quit"))
		return nil
	}
	m.armed, m.armedAt = a, now
	return tea.Tick(Twice, func(time.Time) tea.Msg { return disarmMsg(now) })
}
