package operate

// Usage is one command of the grammar, for a page of help.
type Usage struct{ Command, Help string }

// Chapter is a group of commands that are used together.
type Chapter struct {
	Title    string
	Commands []Usage
}

// Grammar lists the commands in the order a shoot meets them. NAME, SOURCE,
// LIGHT and the like stand for what the user has named; LIGHT is a source, a
// group, a role, or everything.
func Grammar() []Chapter {
	return []Chapter{
		{"From picture to picture", []Usage{
			{"next", "the next cue"},
			{"back", "the cue before"},
			{"go CUE", `a cue by its name: go bow at dusk, or go "bow at dusk"`},
			{"go to ANGLE", "the cue nearest to an angle: go to 80, go to beam"},
			{"confirm", "hands have done what was prompted"},
			{"hold", "freeze the light where it is"},
			{"resume", "let it go on"},
			{"quicker", "let fades run faster from here on"},
			{"slower", "let fades run slower from here on"},
			{"azimuth DEGREES", "a motor table stands there now"},
		}},
		{"The whole set", []Usage{
			{"dark", "fade everything to black; the cue is remembered"},
			{"dark off", "bring the cue back"},
			{"whole up STOPS", "everything brighter by so much: whole up 1/2 stop"},
			{"whole down STOPS", "everything darker by so much"},
			{"whole to STOPS", "so far from the cue: whole to -1 stop; whole to 0 stops is the cue again"},
			{"look LOOK on", "lay a look over the cue; it stays while you step"},
			{"look LOOK off", "take it away"},
			{"work light on", "light for hands, outside the cue and its trims"},
			{"work light off", "back to the cue"},
		}},
		{"One light", []Usage{
			{"identify SOURCE", "it swells gently, the rest dip; identify off ends it"},
			{"aim SOURCE", "it alone, at a level that does not dazzle; aim off ends it"},
			{"alone SOURCE", "its share of the picture, by itself; alone off ends it"},
			{"without SOURCE", "take it out"},
			{"with SOURCE", "put it back; with everything puts all back"},
		}},
		{"Balance", []Usage{
			{"trim LIGHT up STOPS", "brighter: trim sky up 1/3 stop"},
			{"trim LIGHT down STOPS", "darker: trim background down 1/3"},
			{"trim LIGHT to LEVEL", "to a level: trim fill to key -2 stops"},
			{"trim LIGHT N mired warmer", "or cooler; the light is held"},
			{"trim LIGHT tint +0.001", "greener; -0.001 is pinker"},
			{"trim LIGHT colour COLOUR", "to a colour: trim lantern colour 2200 K"},
			{"trim in CUE, CUE LIGHT up STOPS", "in chosen cues, or in all cues: told first, then apply or never mind"},
			{"undo", "take the last change of balance back, as often as you like"},
			{"redo", "give it again"},
			{"undo trims", "take all trims of this cue back"},
			{"kept", "show the light as it is kept, to compare"},
			{"trimmed", "show it with its trims again"},
			{"hold exposure on", "keep the total at the model while one light is traded for another"},
			{"hold exposure off", "trim freely again"},
			{"match exposure to CUE", "bring the total at the model to that of another cue"},
		}},
		{"Keeping", []Usage{
			{"keep", "write the trims into the files; asks where it would change other cues"},
			{"keep here", "for this cue only"},
			{"keep everywhere", "where the light comes from, for every cue that takes it from there"},
			{"keep all", "the trims of every cue; told first, then apply or never mind"},
			{"keep as NAME", "as a new cue"},
			{"copy to CUE, CUE", "give other cues this light"},
			{"mirror", "this light in the cue that stands the other way round"},
			{"mirror as NAME", "as a new cue, the other way round"},
			{"new angle NAME at DEGREES", "a new cue for another angle, with the present light"},
			{"approve", "store what is being sent as approved"},
			{"attach FILE", "a picture to the approved cue"},
			{"as sent", "play the cue as it was approved"},
			{"same light", "play the cue as the files have it now"},
			{"reload", "read the files again"},
			{"note TEXT", "a line in the log of the day"},
		}},
		{"Sequences and pictures", []Usage{
			{"play SEQUENCE", "run a sequence"},
			{"stop", "end it; the light stays"},
			{"rolling", "the camera runs: begin the take"},
			{"cut", "end the take, back to the first mark"},
			{"again", "another take, once one is over"},
			{"missed WHY", "the picture failed: the sequence waits, the light stays"},
			{"picture N", "the camera's number of the next picture"},
		}},
		{"Answers", []Usage{
			{"take", "the nearest cue"},
			{"start here", "from the nearest cue's light, at this angle"},
			{"apply", "do what was told first"},
			{"never mind", "leave it as it is"},
			{"keep mine", "your light over what somebody else has written"},
			{"take theirs", "what somebody else has written"},
		}},
	}
}

// beginnings are the words a command may begin with.
func beginnings() []string {
	var out []string
	seen := map[string]bool{}
	for _, c := range Grammar() {
		for _, u := range c.Commands {
			if word, _ := cutWord(u.Command); !seen[word] {
				seen[word] = true
				out = append(out, word)
			}
		}
	}
	return out
}
