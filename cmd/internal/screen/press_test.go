package screen

import (
	"slices"
	"strings"
	"testing"
	"time"

	tea "charm.land/bubbletea/v2"

	"limn/cue/operate"
)

func TestKeysSay(t *testing.T) {
	l := settle(start(t), "go bow")
	for _, c := range []struct {
		name  string
		stand string // a command given first
		keys  []string
		want  []string
	}{
		{"a clicker", "", []string{"pgdown", "pgup"}, []string{"next", "back"}},
		{"Enter alone", "", []string{"enter"}, []string{""}},
		{"thirds of a stop", "", []string{"up", "down"}, []string{`trim "sky" up 1/3 stop`, `trim "sky" down 1/3 stop`}},
		{"ten mired", "", []string{"left", "right"}, []string{`trim "sky" 10 mired warmer`, `trim "sky" 10 mired cooler`}},
		{"a thousandth", "", []string{"g", "p"}, []string{`trim "sky" tint +0.001`, `trim "sky" tint -0.001`}},
		{"the light in hand", "", []string{"tab", "tab", "up", "shift+tab", "down"}, []string{`trim "left stroke" up 1/3 stop`, `trim "horizon" down 1/3 stop`}},
		{"round the lights", "", []string{"shift+tab", "x"}, []string{`without "torch"`}},
		{"on the light", "", []string{"i", "a", "o", "x"}, []string{`identify "sky"`, `aim "sky"`, `alone "sky"`, `without "sky"`}},
		{"aim ends", "aim sky", []string{"a"}, []string{"aim off"}},
		{"aim another", "aim horizon", []string{"a"}, []string{`aim "sky"`}},
		{"put back", "without sky", []string{"x"}, []string{`with "sky"`}},
		{"balance", "", []string{"u", "r", "k"}, []string{"undo", "redo", "keep"}},
		{"compare", "trim sky down 1/3 stop", []string{"v"}, []string{"kept"}},
		{"compare back", "kept", []string{"v"}, []string{"trimmed"}},
		{"work light", "", []string{"w"}, []string{"work light on"}},
		{"work light off", "work light on", []string{"w"}, []string{"work light off"}},
		{"the whole set", "", []string{"+", "-"}, []string{"whole up 1/3 stop", "whole down 1/3 stop"}},
		{"exposure", "", []string{"e"}, []string{"hold exposure on"}},
		{"hold", "", []string{"h", "f", "F", "j"}, []string{"hold", "quicker", "slower", "confirm"}},
		{"dark off", "dark", []string{"b"}, []string{"dark off"}},
		{"nothing to bring back", "", []string{"b"}, nil},
		{"a look", "", []string{"l", "enter"}, []string{`look "dusk" on`}},
		{"a look off", "look dusk on", []string{"l", "enter", "down", "enter"}, []string{`look "dusk" off`, `look "moonlight" on`}},
		{"a cue", "", []string{"c", "down", "down", "enter"}, []string{`go "beam"`}},
		{"an angle", "", []string{"c", "end", "enter"}, []string{`go to "port bow"`}},
		{"a sequence", "", []string{"s", "enter"}, []string{`play "round the boat"`}},
		{"a clicker while a list is open", "", []string{"l", "pgdown", "esc", "esc"}, []string{"next"}},
		{"a clicker while words are typed", "", []string{"t", "pgdown"}, []string{"next"}},
		{"work light while a list is open", "", []string{"c", "w"}, []string{"work light on"}},
		{"typed", "", strings.Split("t|g|o| |b|e|a|m|enter", "|"), []string{"go beam"}},
		{"typed twice", "", strings.Split("t|k|e|e|p|enter|t|up|enter", "|"), []string{"keep", "keep"}},
		{"typed wrongly", "", strings.Split("t|g|o| |b|e|n|enter", "|"), nil},
		{"mended", "", strings.Split("t|g|o| |b|e|n|enter|backspace|a|m|enter", "|"), []string{"go beam"}},
		{"given up", "", strings.Split("t|g|o|esc|u", "|"), []string{"undo"}},
		{"completed", "", strings.Split("t|m|a|t|tab|b|o|w|enter", "|"), []string{"match exposure to bow"}},
		{"several", "", strings.Split("t|n|e|x|t|;|k|e|e|p|enter", "|"), []string{"next;keep"}},
		{"help, typed", "", strings.Split("t|h|e|l|p|enter|end|enter", "|"), []string{"take theirs"}},
		{"a note", "", strings.Split("n|h|i|enter", "|"), []string{"note hi"}},
		{"no question, no answer", "", []string{"1", "9"}, nil},
		{"an unknown key", "", []string{"z", "esc"}, nil},
	} {
		if c.stand != "" {
			l.do(c.stand, 3)
		}
		b := at(t, l, 80, 24)
		l.said = nil
		b.keys(c.keys...)
		if !slices.Equal(l.said, c.want) {
			t.Errorf("%s: %q say %q, want %q; told: %q", c.name, c.keys, l.said, c.want, b.latest)
		}
		switch c.stand {
		case "":
		case "dark":
			l.do("dark off", 3)
		case "aim sky", "aim horizon":
			l.do("aim off", 3)
		case "without sky":
			l.do("with everything", 3)
		case "work light on":
			l.do("work light off", 3)
		case "look dusk on":
			l.do("look dusk off", 3)
		}
	}
}

// Whatever a key says is a command of the grammar.
func TestWhatKeysSayIsUnderstood(t *testing.T) {
	l := settle(start(t), "go bow")
	for _, d := range deeds {
		b := at(t, l, 80, 24)
		l.said = nil
		b.act(d.action)
		for _, line := range l.said {
			if line == "" {
				continue // Enter alone is the desk's
			}
			if err := l.Check(line); err != nil {
				t.Errorf("%s says %q: %v", d.action, line, err)
			}
		}
	}
}

func TestAnswers(t *testing.T) {
	l := settle(start(t), "go bow").do("go to 75", 0.1)
	b := at(t, l, 80, 24)
	choices := b.seen.Snap.Choices
	if len(choices) < 2 {
		t.Fatalf("no question: %+v", b.seen.Snap)
	}
	l.said = nil
	b.keys("2")
	if want := []string{choices[1].Command}; !slices.Equal(l.said, want) {
		t.Errorf("2 says %q, want %q", l.said, want)
	}
	b.choose("keep as ")
	if b.line == nil || string(b.line.text) != "keep as " {
		t.Error("an answer that asks for a name does not open the line")
	}
}

// Dark takes two presses of its key within a second and nothing less.
func TestDarkIsDeliberate(t *testing.T) {
	l := settle(start(t), "go bow")
	for _, c := range []struct {
		name string
		do   func(b *bench)
		want []string
	}{
		{"once", func(b *bench) { b.keys("d") }, nil},
		{"twice", func(b *bench) { b.keys("d", "d") }, []string{"dark"}},
		{"too slowly", func(b *bench) { b.keys("d"); b.at = b.at.Add(Twice); b.keys("d") }, nil},
		{"with another key between", func(b *bench) { b.keys("d", "tab", "d") }, nil},
		{"another deed between", func(b *bench) { b.keys("d", "q", "d") }, nil},
		{"held for long", func(b *bench) {
			for range 50 {
				b.keys("d")
			}
		}, []string{"dark"}},
		{"while words are typed", func(b *bench) { b.keys("t", "d", "d") }, nil},
		{"while a list is open", func(b *bench) { b.keys("l", "d", "d") }, []string{"dark"}},
		{"the end of the run", func(b *bench) { b.keys("q", "q") }, []string{"quit"}},
	} {
		b := at(t, l, 80, 24)
		l.said = nil
		c.do(b)
		if !slices.Equal(l.said, c.want) {
			t.Errorf("%s: %q, want %q", c.name, l.said, c.want)
		}
	}
	// What waits for a second press says so, and gives up by itself.
	b := at(t, l, 80, 24)
	b.keys("d")
	if !strings.Contains(b.View().Content, "d once more: dark") {
		t.Error("the first press does not say what the second does")
	}
	b.Update(disarmMsg(b.armedAt.Add(-time.Millisecond))) // of an earlier press
	if b.armed != Dark {
		t.Error("an earlier press's end disarms a later one")
	}
	b.Update(disarmMsg(b.armedAt))
	if b.armed != "" {
		t.Error("a first press stays armed")
	}
}

// Enter does not set a table going.
func TestEnterIsNotRolling(t *testing.T) {
	b := at(t, settle(start(t), "go bow"), 80, 24)
	b.live.said = nil
	b.seen.Snap.Prompts = []string{"the table turns from 0° to 90°, keep clear: rolling?"}
	b.keys("enter")
	if len(b.live.said) > 0 || !strings.Contains(b.latest, "rolling") {
		t.Errorf("Enter says %q and tells %q", b.live.said, b.latest)
	}
}

func TestCtrlCEndsTheScreen(t *testing.T) {
	b := at(t, start(t), 80, 24)
	_, cmd := b.Update(pressOf(t, "ctrl+c"))
	if cmd == nil || !b.interrupted {
		t.Fatal("Ctrl-C does nothing")
	}
	if _, ok := cmd().(tea.QuitMsg); !ok {
		t.Error("Ctrl-C does not end the screen")
	}
}

// slow is a stage whose checks never end.
type slow struct {
	*live
	asked chan struct{}
}

func (s slow) Check(string) error { <-s.asked; return nil }

// Update waits neither for a check nor for a place in a full queue.
func TestUpdateNeverWaits(t *testing.T) {
	l := settle(start(t), "go bow")
	l.full = true
	b := at(t, l, 80, 24)
	b.stage = slow{l, make(chan struct{})}
	b.Update(pressOf(t, "u"))
	if !strings.Contains(b.latest, "left out") {
		t.Errorf("a key nobody takes is not told of: %q", b.latest)
	}
	for _, r := range "tgo beam" {
		b.Update(pressOf(t, string(r)))
	}
	if _, cmd := b.Update(pressOf(t, "enter")); cmd == nil {
		t.Error("the check is not left to a command")
	}
}

func TestMessages(t *testing.T) {
	b := at(t, settle(start(t), "go bow"), 80, 24)
	b.Update(saidMsg{{"    3.2 s  bow: settled", false}, {"error: there is no command \"x\"", true}, {"hint: write keep", true}})
	if b.latest != `there is no command "x"; write keep` || !b.trouble {
		t.Errorf("%q", b.latest)
	}
	if len(b.messages) != 3 {
		t.Errorf("%q are kept", b.messages)
	}
	b.live.do("undo", 0.1)
	b.look()
	if b.trouble || !strings.Contains(b.latest, "nothing") {
		t.Errorf("the answer to undo is told as %q", b.latest)
	}
	for range 2 * MaxMessages {
		b.hear(answer{"more", false})
	}
	if len(b.messages) != MaxMessages {
		t.Errorf("%d messages are kept", len(b.messages))
	}
}

// Every command of the grammar is on the page of help, and what the page puts into the line
// is its beginning.
func TestHelpHasEveryCommand(t *testing.T) {
	b := at(t, settle(start(t), "go bow"), 80, 24)
	b.keys("?")
	items := itemsOf(&b.seen, &b.state, 80)
	for _, c := range operate.Grammar() {
		for _, u := range c.Commands {
			i := slices.IndexFunc(items, func(it item) bool { return it.text == u.Command })
			if i < 0 {
				t.Errorf("%q is missing", u.Command)
				continue
			}
			if !strings.HasPrefix(u.Command, strings.TrimSpace(items[i].says)) || items[i].says == "" {
				t.Errorf("%q puts %q", u.Command, items[i].says)
			}
			b.live.said = nil
			b.panel, b.cursor, b.line = helpPanel, i, nil
			b.keys("enter")
			if open := b.line != nil; open == (len(b.live.said) == 1) {
				t.Errorf("%q is said %q and opens the line: %v", u.Command, b.live.said, open)
			}
		}
	}
}
