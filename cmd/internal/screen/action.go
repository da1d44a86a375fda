package screen

// Action is something a key does.
type Action string

// The actions, by the names that a file of keys has.
const (
	GoOn     Action = "go on" // confirm where hands were asked for something, else next
	Next     Action = "next"
	Back     Action = "back"
	Confirm  Action = "confirm"
	Hold     Action = "hold" // and let go on again
	Quicker  Action = "quicker"
	Slower   Action = "slower"
	Dark     Action = "dark" // twice
	Light    Action = "light again"
	Work     Action = "work light"
	WholeUp  Action = "whole up"
	WholeDn  Action = "whole down"
	Exposure Action = "hold exposure"

	InHand   Action = "in hand"
	Before   Action = "in hand before"
	Brighter Action = "brighter"
	Darker   Action = "darker"
	Warmer   Action = "warmer"
	Cooler   Action = "cooler"
	Greener  Action = "greener"
	Pinker   Action = "pinker"
	Identify Action = "identify"
	Aim      Action = "aim"
	Alone    Action = "alone"
	Without  Action = "without"

	Undo    Action = "undo"
	Redo    Action = "redo"
	Compare Action = "compare"
	Keep    Action = "keep"
	Note    Action = "note"

	Cues     Action = "cues"
	Looks    Action = "looks"
	Series   Action = "sequences"
	Words    Action = "words"
	Messages Action = "messages"
	Help     Action = "all words"
	Quit     Action = "end" // twice
)

// deed is what is told of an action.
type deed struct {
	action Action
	keys   []string // by default
	label  string   // beside its key, as short as it goes
	help   string
}

// deeds are all actions, in the order of the page of help.
var deeds = []deed{
	{GoOn, []string{"enter"}, "go on", "what hands were asked for is done, or else the next cue"},
	{Next, []string{"pgdown"}, "next", "the next cue"},
	{Back, []string{"pgup"}, "back", "the cue before"},
	{Confirm, []string{"j"}, "confirm", "hands have done what was prompted"},
	{Hold, []string{"h"}, "hold", "freeze the light where it is; again lets it go on"},
	{Quicker, []string{"f"}, "quicker", "fades run faster from here on"},
	{Slower, []string{"F"}, "slower", "fades run slower from here on"},
	{InHand, []string{"tab"}, "light in hand", "take the next light in hand"},
	{Before, []string{"shift+tab"}, "", "take the light before in hand"},
	{Brighter, []string{"up"}, "1/3 stop", "the light in hand brighter by 1/3 stop"},
	{Darker, []string{"down"}, "", "the light in hand darker by 1/3 stop"},
	{Warmer, []string{"left"}, "10 mired", "the light in hand warmer by 10 mired"},
	{Cooler, []string{"right"}, "", "the light in hand cooler by 10 mired"},
	{Greener, []string{"g"}, "tint", "the light in hand greener by 0.001"},
	{Pinker, []string{"p"}, "", "the light in hand pinker by 0.001"},
	{Identify, []string{"i"}, "identify", "the light in hand swells gently; again ends it"},
	{Aim, []string{"a"}, "aim", "the light in hand by itself, not dazzling; again ends it"},
	{Alone, []string{"o"}, "alone", "the light in hand's share by itself; again ends it"},
	{Without, []string{"x"}, "without", "take the light in hand out; again puts it back"},
	{Undo, []string{"u"}, "undo", "take the last change of balance back"},
	{Redo, []string{"r"}, "redo", "give it again"},
	{Compare, []string{"v"}, "kept/trimmed", "show the kept light; again the trimmed one"},
	{Exposure, []string{"e"}, "exposure", "keep the total at the model while lights are traded; again ends it"},
	{WholeUp, []string{"+"}, "whole set", "the whole set brighter by 1/3 stop"},
	{WholeDn, []string{"-"}, "", "the whole set darker by 1/3 stop"},
	{Keep, []string{"k"}, "keep", "write the trims into the files"},
	{Note, []string{"n"}, "note", "a line in the log of the day"},
	{Cues, []string{"c"}, "cues", "the cues and angles, to go to one"},
	{Looks, []string{"l"}, "looks", "the looks, to lay one on or take it away"},
	{Series, []string{"s"}, "sequences", "the sequences, and what they are told while they run"},
	{Words, []string{"t"}, "type", "type any words of the grammar; Tab completes them"},
	{Messages, []string{"m"}, "messages", "what was said so far"},
	{Help, []string{"?", "f1"}, "all words", "this page: every key and every command"},
	{Work, []string{"w"}, "work light", "light for hands; again takes it away"},
	{Dark, []string{"d"}, "dark", "twice within a second: fade everything to black"},
	{Light, []string{"b"}, "light again", "bring the cue back from dark"},
	{Quit, []string{"q"}, "end", "twice within a second: end the run; Ctrl-C does it at once"},
}

// Actions lists all actions.
func Actions() []Action {
	out := make([]Action, len(deeds))
	for i, d := range deeds {
		out[i] = d.action
	}
	return out
}

func deedOf(a Action) *deed {
	for i := range deeds {
		if deeds[i].action == a {
			return &deeds[i]
		}
	}
	return &deed{action: a}
}
