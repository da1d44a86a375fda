package screen

import (
	"strings"
	"time"

	tea "charm.land/bubbletea/v2"
	"github.com/charmbracelet/colorprofile"

	"limn/cue"
)

// Twice is how soon the second press must follow for what needs two.
const Twice = time.Second

// MaxTyped is the most typed lines that can be recalled.
const MaxTyped = 100

// Stage is what the screen shows and steers. Its methods are called from goroutines
// of their own and may take their time, but for Say, which must not wait.
type Stage interface {
	Snapshot(dst *cue.Snapshot)
	Shoot() *cue.Shoot
	Sender() Sender

	// Check says what is wrong with a command in words; nil for nothing.
	Check(text string) error

	// Say takes a line as if typed, "" for Enter alone; false where too many wait.
	Say(line string) bool
}

// state is the state of the screen itself.
type state struct {
	hand     int // source in hand, by index; -1 = none
	panel    panel
	cursor   int      // in a panel's list
	line     *line    // that is being typed; nil = none
	typed    []string // before
	armed    Action   // pressed once
	armedAt  time.Time
	spent    time.Time // when a press twice was last done
	spentOn  Action
	messages []string
	latest   string // message, beside the lines of the state
	trouble  bool   // it is one that something went wrong
	keys     *Keys
	plain    bool // the terminal has no colours, or is to show none
}

// model is the screen as bubbletea has it.
type model struct {
	state
	seen          Seen
	width, height int
	stage         Stage
	said          *Answers
	box           <-chan Seen
	done          <-chan struct{}
	now           func() time.Time
	interrupted   bool
}

type (
	seenMsg    Seen
	saidMsg    []answer
	disarmMsg  time.Time
	checkedMsg struct {
		text string
		err  error
	}
)

func (m *model) Init() tea.Cmd { return tea.Batch(m.awaitSeen, m.awaitSaid) }

func (m *model) awaitSeen() tea.Msg {
	select {
	case s := <-m.box:
		return seenMsg(s)
	case <-m.done:
		return nil
	}
}

func (m *model) awaitSaid() tea.Msg {
	select {
	case <-m.said.ready:
		return saidMsg(m.said.take())
	case <-m.done:
		return nil
	}
}

// Update takes what happened. It never waits.
func (m *model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
	case tea.ColorProfileMsg:
		m.plain = msg.Profile <= colorprofile.ASCII
	case seenMsg:
		m.see(Seen(msg))
		return m, m.awaitSeen
	case saidMsg:
		for _, line := range msg {
			m.hear(line)
		}
		return m, m.awaitSaid
	case disarmMsg:
		if time.Time(msg).Equal(m.armedAt) {
			m.armed = ""
		}
	case checkedMsg:
		m.checked(msg)
	case tea.PasteMsg:
		if m.line != nil && m.seen.Shoot != nil {
			m.line.insert(msg.Content, m.seen.Shoot)
		}
	case tea.KeyPressMsg:
		return m, m.press(tea.Key(msg))
	}
	return m, nil
}

// View is the whole screen.
func (m *model) View() tea.View {
	text, x, y := draw(&m.seen, &m.state, m.width, m.height)
	v := tea.NewView(text)
	v.AltScreen = true
	v.WindowTitle = title(&m.seen)
	if m.line != nil && x >= 0 {
		v.Cursor = tea.NewCursor(x, y)
	}
	return v
}

func title(s *Seen) string {
	if s.Shoot == nil {
		return "limn"
	}
	return clean("limn: " + s.Shoot.Subject.Name)
}

// see takes what there is to see; the light in hand stays in hand by its name.
func (m *model) see(s Seen) {
	before := m.seen.Shoot
	if m.seen.Snap != nil {
		if said := news(m.seen.Snap.Notices, s.Snap.Notices); len(said) > 0 {
			m.tell(clean(strings.Join(said, "; ")), false)
		}
	}
	m.seen = s
	if before == s.Shoot {
		return
	}
	list := lights(s.Shoot)
	name := ""
	if before != nil && m.hand >= 0 && m.hand < len(before.Rig.Sources) {
		name = before.Rig.Sources[m.hand].Name
	}
	m.hand = -1
	for _, i := range list {
		if m.hand < 0 || s.Shoot.Rig.Sources[i].Name == name {
			m.hand = i
		}
	}
	if m.line != nil {
		m.line.changed(s.Shoot)
	}
}

// hear takes a line of an answer. "error: " and "hint: " come one after the other and are
// one message.
func (m *model) hear(a answer) {
	line := clean(a.text)
	m.messages = append(m.messages, line)
	m.messages = m.messages[max(len(m.messages)-MaxMessages, 0):]
	hint, isHint := strings.CutPrefix(line, "hint: ")
	fault, isFault := strings.CutPrefix(line, "error: ")
	switch {
	case !a.aloud || line == "":
	case isFault:
		m.tell(fault, true)
	case isHint && m.trouble:
		m.latest += "; " + hint
	default:
		m.tell(line, strings.HasPrefix(line, "warning: "))
	}
}

func (m *model) tell(text string, trouble bool) { m.latest, m.trouble = text, trouble }

// say hands a line on.
func (m *model) say(line string) {
	if !m.stage.Say(line) {
		m.tell("too much at once: that was left out", true)
	}
}

// send checks a typed line and then hands it on; with a fault it stays, to be mended.
func (m *model) send(text string) tea.Cmd {
	first, _, _ := strings.Cut(text, " ")
	if first == "help" || first == "?" {
		m.close(text)
		m.panel = noPanel
		m.open(helpPanel)
		return nil
	}
	if isDeskWord(first) && first != "quit" {
		m.panel, m.cursor = messagesPanel, MaxMessages // the answer has several lines
	}
	if strings.Contains(text, ";") || text == "" || isDeskWord(first) {
		m.close(text)
		m.say(text)
		return nil
	}
	check := m.stage.Check
	return func() tea.Msg { return checkedMsg{text, check(text)} }
}

func isDeskWord(word string) bool {
	for _, w := range deskWords {
		if w == word {
			return true
		}
	}
	return false
}

func (m *model) checked(msg checkedMsg) {
	switch {
	case msg.err == nil:
		m.close(msg.text)
		m.say(msg.text)
	case m.line != nil:
		m.line.fault = clean(msg.err.Error())
	default:
		m.tell(clean(msg.err.Error()), true)
	}
}

// close ends the typing of a line.
func (m *model) close(text string) {
	m.line = nil
	if n := len(m.typed); text != "" && (n == 0 || m.typed[n-1] != text) {
		m.typed = append(m.typed, text)
		m.typed = m.typed[max(len(m.typed)-MaxTyped, 0):]
	}
}
