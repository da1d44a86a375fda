package screen

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"limn/fixtures/nearest"
)

// Keys is what each key does: an action, or words of the grammar.
type Keys struct {
	acts map[string]Action
	says map[string]string
}

// MaxSay is the most bytes of the words that a key may say.
const MaxSay = 200

// named are the keys that have names; any other is the one character it gives.
var named = []string{
	"enter", "tab", "space", "backspace", "delete", "insert", "up", "down", "left", "right",
	"home", "end", "pgup", "pgdown",
	"f1", "f2", "f3", "f4", "f5", "f6", "f7", "f8", "f9", "f10", "f11", "f12",
}

// aliases are other names that keyboards give them.
var aliases = map[string]string{
	"pagedown": "pgdown", "page down": "pgdown", "pgdn": "pgdown", "pageup": "pgup", "page up": "pgup",
	"return": "enter", "escape": "esc", "del": "delete", "ins": "insert",
}

// modifiers that a key may have before its name.
var modifiers = []string{"ctrl", "alt", "shift"}

// reserved keys always do the same.
var reserved = map[string]string{
	"esc":    "it closes whatever is open",
	"ctrl+c": "it ends the run",
}

// DefaultKeys are the keys as they are if nobody says otherwise.
func DefaultKeys() *Keys {
	k := &Keys{acts: map[string]Action{}, says: map[string]string{}}
	for _, d := range deeds {
		for _, key := range d.keys {
			k.acts[key] = d.action
		}
	}
	return k
}

// Bind gives an action these keys in place of those it had; a key that did
// something else by default does this now. Errors read "what is wrong; what would be right".
func (k *Keys) Bind(action string, keys ...string) error {
	a := Action(action)
	if !slices.Contains(Actions(), a) {
		names := make([]string, len(deeds))
		for i, d := range deeds {
			names[i] = string(d.action)
		}
		return fmt.Errorf("no key does %q; %s", action, nearest.DidYouMean(action, names))
	}
	var clear []string
	for _, key := range keys {
		c, err := keyOf(key)
		if err != nil {
			return err
		}
		clear = append(clear, c)
	}
	maps.DeleteFunc(k.acts, func(_ string, b Action) bool { return a == b })
	for _, c := range clear {
		delete(k.says, c)
		k.acts[c] = a
	}
	return nil
}

// Say gives a key words of the grammar to say; {light} in them is the light in hand.
func (k *Keys) Say(key, words string) error {
	c, err := keyOf(key)
	switch {
	case err != nil:
		return err
	case strings.TrimSpace(words) == "" || len(words) > MaxSay || strings.ContainsFunc(words, unicode.IsControl):
		return fmt.Errorf("%q says nothing that could be typed; write words of the grammar, at most %d bytes, as in %q", key, MaxSay, "look dusk on")
	}
	delete(k.acts, c)
	k.says[c] = strings.TrimSpace(words)
	return nil
}

// Idle lists the actions that have no key left, which are still reached by typing.
func (k *Keys) Idle() []Action {
	var out []Action
	for _, d := range deeds {
		if len(k.of(d.action)) == 0 {
			out = append(out, d.action)
		}
	}
	return out
}

// keyOf reads a key as it is written down, such as "pgdown", "f5" or "ctrl+k".
func keyOf(key string) (string, error) {
	var held [3]bool
	name := key
	for {
		mod, rest, ok := strings.Cut(name, "+")
		i := slices.Index(modifiers, strings.ToLower(mod))
		if !ok || rest == "" || i < 0 {
			break
		}
		held[i], name = true, rest
	}
	if r, _ := utf8.DecodeRuneInString(name); held[2] && utf8.RuneCountInString(name) == 1 && unicode.IsLetter(r) {
		held[2], name = false, string(unicode.ToUpper(r)) // as a terminal gives it
	}
	mods := ""
	for i, m := range modifiers { // in the order in which a terminal tells them
		if held[i] {
			mods += m + "+"
		}
	}
	one := utf8.RuneCountInString(name) == 1
	if !one {
		name = strings.ToLower(name)
		if same, ok := aliases[name]; ok {
			name = same
		}
	}
	if why, ok := reserved[mods+name]; ok {
		return "", fmt.Errorf("%q cannot be given another meaning: %s; choose another key", key, why)
	}
	r, _ := utf8.DecodeRuneInString(name)
	switch {
	case slices.Contains(named, name):
	case one && r == ' ':
		return "", fmt.Errorf("%q is no name of a key; write \"space\"", key)
	case one && unicode.IsGraphic(r) && unicode.IsDigit(r) && mods == "":
		return "", fmt.Errorf("%q answers questions; choose another key", key)
	case one && unicode.IsGraphic(r) && r != utf8.RuneError:
	default:
		return "", fmt.Errorf("there is no key %q; %s, or one character", key, nearest.DidYouMean(name, named))
	}
	return mods + name, nil
}

// KeyName is a key's name as keys are compared: "PgDown" and "pgdown" are one. A text
// that is no key's name is given back.
func KeyName(key string) string {
	if name, err := keyOf(key); err == nil {
		return name
	}
	return key
}

// of gives the keys of an action, those it has by default first.
func (k *Keys) of(a Action) []string {
	var out []string
	for key, b := range k.acts {
		if a == b {
			out = append(out, key)
		}
	}
	usual := deedOf(a).keys
	slices.SortFunc(out, func(x, y string) int {
		if p, q := rank(usual, x), rank(usual, y); p != q {
			return p - q
		}
		return strings.Compare(x, y)
	})
	return out
}

func rank(list []string, s string) int {
	if i := slices.Index(list, s); i >= 0 {
		return i
	}
	return len(list)
}

// caps are the keys as they stand on the keyboard.
var caps = map[string]string{
	"enter": "Enter", "tab": "Tab", "space": "Space", "backspace": "Backspace", "delete": "Del", "insert": "Ins",
	"up": "↑", "down": "↓", "left": "←", "right": "→", "home": "Home", "end": "End", "pgup": "PgUp", "pgdown": "PgDn",
}

func capOf(key string) string {
	at := strings.LastIndex(key, "+")
	if at == len(key)-1 {
		at = strings.LastIndex(key[:max(at, 0)], "+")
	}
	name := key[at+1:]
	mods := key[:at+1]
	mods = strings.NewReplacer("ctrl", "Ctrl", "alt", "Alt", "shift", "Shift").Replace(mods)
	switch c, ok := caps[name]; {
	case ok:
		name = c
	case utf8.RuneCountInString(name) > 1:
		name = strings.ToUpper(name)
	}
	return mods + name
}

// cap1 is the first key of an action, "" for none.
func (k *Keys) cap1(a Action) string {
	if keys := k.of(a); len(keys) > 0 {
		return capOf(keys[0])
	}
	return ""
}
