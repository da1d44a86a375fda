package operate_test

import (
	"reflect"
	"strings"
	"testing"

	"limn/cue"
	"limn/cue/operate"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"

	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	s := shoot("bow", "Bow at dusk", "beam", "BEAM", `the "old" one`, `back\slash`, "3/4 # stern")
	for text, want := range map[string]operate.Command{
		"next":                 {Verb: operate.Next},
		"  NEXT\t":             {Verb: operate.Next},
		"back":                 {Verb: operate.Back},
		"hold":                 {Verb: operate.Hold},
		"resume":               {Verb: operate.Resume},
		"confirm":              {Verb: operate.Confirm},
		"dark":                 {Verb: operate.Dark},
		"dark off":             {Verb: operate.DarkOff},
		"Dark \t OFF ":         {Verb: operate.DarkOff},
		"go bow":               {Verb: operate.Go, Name: "bow"},
		"go\u00a0bow":          {Verb: operate.Go, Name: "bow"},
		"go bow at dusk":       {Verb: operate.Go, Name: "Bow at dusk"},
		`go "bow at dusk"`:     {Verb: operate.Go, Name: "Bow at dusk"},
		"go beam":              {Verb: operate.Go, Name: "beam"},
		"go BEAM":              {Verb: operate.Go, Name: "BEAM"},
		`go "the \"old\" one"`: {Verb: operate.Go, Name: `the "old" one`},
		`go the "old" one`:     {Verb: operate.Go, Name: `the "old" one`},
		`go "back\\slash"`:     {Verb: operate.Go, Name: `back\slash`},
		`go back\slash`:        {Verb: operate.Go, Name: `back\slash`},
		`go 3/4 # stern`:       {Verb: operate.Go, Name: "3/4 # stern"},
	} {
		got, err := operate.Parse(text, s)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%q is %v (%v), want %v", text, got, err, want)
		}
	}
}

func TestParseFaults(t *testing.T) {
	s := shoot("bow", "bow at dusk", "beam", "BEAM")
	for text, want := range map[string][]string{
		"":               {"there is no command", "write one of next, back, go"},
		" \t":            {"there is no command"},
		"nxet":           {`no command "nxet"`, `did you mean "next"?`},
		"next bow":       {`after next comes "bow"`, "next alone"},
		"dark on":        {`after dark comes "on"`, "dark off"},
		"go":             {"go has no name", `"bow at dusk"`},
		`go ""`:          {"go has no name"},
		"go bwo":         {`no cue "bwo"`, `did you mean "bow"?`},
		"go Beam":        {`no cue "Beam"`, `mind the case: "beam" or "BEAM"`},
		`go "bow`:        {"does not end", "close it"},
		`go "bow" beam`:  {`after the name comes "beam"`, "; parts commands"},
		"go \x1b[31mbow": {`no cue "\x1b[31mbow"`},
		"go " + strings.Repeat("x", operate.MaxCommand): {"has 1027 bytes", "at most 1024"},
	} {
		c, err := operate.Parse(text, s)
		if err == nil {
			t.Errorf("%q is taken as %v", text, c)
			continue
		}
		for _, w := range want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%q: %q; want %q in it", text, err, w)
			}
		}
	}
}

// onBoard is a shoot with names of every kind, some of them awkward.
func onBoard() *cue.Shoot {
	s := shoot("bow", "Bow at dusk", "beam, low", `the "old" one`, "to the stern", "4°")
	s.Angles = []cue.Angle{{Name: "beam", Azimuth: 80}, {Name: "3/4 bow", Azimuth: 35}}
	s.Looks = []cue.Look{{Name: "dusk"}, {Name: "on"}, {Name: "moon off"}}
	s.Sequences = []cue.Sequence{{Name: "round the boat"}}
	s.Groups = []cue.Group{{Name: "sky up", Members: []int{sky, bulb}}}
	return s
}

func TestParseTheLiveShoot(t *testing.T) {
	s := onBoard()
	stops := func(text string) quantity.Stops {
		q, err := quantity.ParseStops(text)
		if err != nil {
			t.Fatal(err)
		}
		return q
	}
	of := func(parts ...operate.Part) operate.Command {
		return operate.Command{Verb: operate.TrimVerb, Trim: &operate.Trim{Parts: parts}}
	}
	up, down, third := stops("+1/2 stop"), stops("-1 1/3 stops"), stops("-1/3 stop")
	level, _ := cue.ParseLevel("key -2 stops")
	spec, _ := colour.ParseSpec("5600 K tint +0.003")
	degrees := func(text string) quantity.Degrees { d, _ := quantity.ParseDegrees(text); return d }
	for text, want := range map[string]operate.Command{
		"go to the stern":        {Verb: operate.Go, Name: "to the stern"},
		"go to beam":             {Verb: operate.GoTo, Name: "beam"},
		"go to 3/4 bow":          {Verb: operate.GoTo, Name: "3/4 bow"},
		"go to 80":               {Verb: operate.GoTo, Azimuth: degrees("80")},
		"go to −12.5°":           {Verb: operate.GoTo, Azimuth: degrees("−12.5°")},
		"go to bow":              {Verb: operate.Go, Name: "bow"},
		"whole up 1/2 stop":      {Verb: operate.WholeBy, Stops: up},
		"Whole Down 1 1/3 stops": {Verb: operate.WholeBy, Stops: down},
		"whole to -1/3 stop":     {Verb: operate.WholeTo, Stops: third},
		"look dusk on":           {Verb: operate.Look, Name: "dusk", On: true},
		"look on off":            {Verb: operate.Look, Name: "on"},
		`look "moon off" OFF`:    {Verb: operate.Look, Name: "moon off"},
		"work light on":          {Verb: operate.WorkLight, On: true},
		"identify sky":           {Verb: operate.Identify, Name: "sky"},
		"identify off":           {Verb: operate.Identify},
		"alone SKY":              {Verb: operate.Alone, Name: "sky"},
		"without sky":            {Verb: operate.Without, Name: "sky"},
		"with everything":        {Verb: operate.With},
		"undo  trims":            {Verb: operate.UndoTrims},
		"hold exposure on":       {Verb: operate.HoldExposure, On: true},
		"match exposure to bow":  {Verb: operate.MatchExposure, Name: "bow"},
		"keep as low sun":        {Verb: operate.KeepAs, Name: "low sun"},
		"mirror as other side":   {Verb: operate.Mirror, Name: "other side"},
		"mirror":                 {Verb: operate.Mirror},
		"copy to bow, beam, low, 4°": {
			Verb: operate.CopyTo, Names: []string{"bow", "beam, low", "4°"},
		},
		"new angle look at me at 110": {Verb: operate.NewAngle, Name: "look at me", Azimuth: degrees("110")},
		"play round the boat":         {Verb: operate.Play, Name: "round the boat"},
		"picture 482":                 {Verb: operate.Picture, Number: 482},
		"note varnish; polished":      {Verb: operate.Note, Name: "varnish; polished"},
		"azimuth 35°":                 {Verb: operate.Azimuth, Azimuth: degrees("35°")},

		"trim sky up 1/2 stop":            of(operate.Part{Of: "sky", Stops: &up}),
		"trim sky up up 1/2 stop":         of(operate.Part{Of: "sky up", Stops: &up}),
		"trim key down 1/3":               of(operate.Part{Of: "key", Stops: &third}),
		"trim bulb to key -2 stops":       of(operate.Part{Of: "bulb", Level: &level}),
		"trim everything 20 mired warmer": of(operate.Part{Mired: 20}),
		"trim sky cooler 5mired":          of(operate.Part{Of: "sky", Mired: -5}),
		"trim sky tint −0.001":            of(operate.Part{Of: "sky", Tint: -0.001}),
		"trim sky 0.001 pinker":           of(operate.Part{Of: "sky", Tint: -0.001}),
		"trim sky color 5600 K tint +0.003": of(operate.Part{
			Of: "sky", Colour: &spec,
		}),
		"trim everything 20 mired warmer, fill down 1/3": of(operate.Part{Mired: 20}, operate.Part{Of: "fill", Stops: &third}),
		"trim in bow, beam, low sky up 1/2 stop": {Verb: operate.TrimVerb, Trim: &operate.Trim{
			Cues: []string{"bow", "beam, low"}, Parts: []operate.Part{{Of: "sky", Stops: &up}},
		}},
		"trim in all cues: sky up 1/2 stop": {Verb: operate.TrimVerb, Trim: &operate.Trim{
			All: true, Parts: []operate.Part{{Of: "sky", Stops: &up}},
		}},
	} {
		got, err := operate.Parse(text, s)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%q is %v (%v), want %v", text, got, err, want)
		}
	}
}

func TestParseFaultsOfTheLiveShoot(t *testing.T) {
	s := onBoard()
	for text, want := range map[string][]string{
		"go to nowhere":             {`no angle "nowhere"`, `"beam"`},
		"go to 400":                 {"more than a turn"},
		"go to":                     {"go to 80"},
		"go baem":                   {`no cue "baem"`},
		"go beam":                   {"that is an angle", "go to beam"},
		"whole":                     {"whole says too little", "whole up 1/2 stop"},
		"whole brighter":            {`after whole comes "brighter"`},
		"whole up -1 stop":          {"leave the sign out"},
		"look dsuk on":              {`no look "dsuk"`, `did you mean "dusk"?`},
		"look dusk":                 {"on or off", "look dusk on"},
		"work":                      {"work light on"},
		"identify skyy":             {`no source "skyy"`, `did you mean "sky"?`},
		"without everything":        {`no source "everything"`},
		"trim":                      {"which light", "trim sky up 1/3 stop"},
		"trim sky":                  {"what to change"},
		"trim skye up 1/3 stop":     {`no light "skye"`, `did you mean "sky"?`},
		"trim sky up":               {"how far", "up 1/2 stop"},
		"trim sky up 2 lx":          {"stop"},
		"trim sky up 0 stops":       {"changes nothing"},
		"trim sky to 60":            {"has no unit", "60 %"},
		"trim sky to 5600 K":        {"is a colour", "colour 5600 K"},
		"trim sky to +1 stop":       {"above full"},
		"trim sky 20 warmer":        {"no unit", "20 mired warmer"},
		"trim sky 20 mired":         {"which way", "20 mired warmer or 20 mired cooler"},
		"trim sky -20 mired warmer": {"no amount above 0"},
		"trim sky 900 mired warmer": {"more than any filter"},
		"trim sky tint 0.2":         {"no step of tint"},
		"trim sky colour 5600":      {"no unit"},
		"trim sky colour":           {"colour does not say which", "#ff6a1a"},
		`trim sky colour "#ff6a1a`:  {"does not end"},
		"trim sky louder":           {`cannot be trimmed "louder"`},
		"trim sky up 1 stop,":       {"after the comma"},
		"trim in bwo sky up 1":      {`no cue "bwo`, `did you mean "bow"?`},
		"hold on":                   {`after hold comes "on"`, "hold exposure on"},
		"match bow":                 {"match exposure to"},
		"keep as bow":               {`a cue "bow" already`},
		"keep it":                   {`after keep comes "it"`, "keep here"},
		"copy to":                   {"a cue is missing"},
		"copy bow":                  {"copy to"},
		"new angle 110":             {"new angle NAME at DEGREES"},
		"new angle low at much":     {"not an angle"},
		"never":                     {"never mind"},
		"picture x":                 {"no number of a picture"},
		"undo it":                   {`after undo comes "it"`, "undo trims"},
		"note \x07":                 {"cannot be written"},
	} {
		c, err := operate.Parse(text, s)
		if err == nil {
			t.Errorf("%q is taken as %v", text, c)
			continue
		}
		for _, w := range want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%q: %q; want %q in it", text, err, w)
			}
		}
	}
}

// anyCommand draws a command over the names of a shoot.
func anyCommand(s *cue.Shoot) *rapid.Generator[operate.Command] {
	return rapid.Custom(func(t *rapid.T) operate.Command {
		draw := func(names []string) string { return rapid.SampledFrom(names).Draw(t, "name") }
		newName := rapid.StringMatching(`[a-zµ—"\\;#,]([ -~]{0,10}[a-z"\\;])?`)
		amount := rapid.SampledFrom([]string{"1/3 stop", "1 stop", "1 1/3 stops", "0.25 stop", "2 stops", "⅔ stop"})
		stops := func(signs ...string) quantity.Stops {
			q, err := quantity.ParseStops(rapid.SampledFrom(signs).Draw(t, "sign") + amount.Draw(t, "amount"))
			if err != nil {
				t.Fatal(err)
			}
			return q
		}
		degrees := func() quantity.Degrees {
			d, err := quantity.ParseDegrees(rapid.SampledFrom([]string{"80", "80°", "-12.5 deg", "360", "0"}).Draw(t, "degrees"))
			if err != nil {
				t.Fatal(err)
			}
			return d
		}
		on := rapid.Bool().Draw(t, "on")
		sources := []string{"sky", "bulb", "torch"}
		c := operate.Command{Verb: rapid.SampledFrom(operate.Verbs()).Draw(t, "verb")}
		switch c.Verb {
		case operate.Go, operate.MatchExposure:
			c.Name = draw(s.CueNames())
		case operate.GoTo:
			if on {
				c.Name = "beam"
			} else {
				c.Azimuth = degrees()
			}
		case operate.Azimuth:
			c.Azimuth = degrees()
		case operate.WholeBy:
			c.Stops = stops("+", "-")
		case operate.WholeTo:
			c.Stops = stops("", "+", "-", "\u2212")
		case operate.Look:
			c.Name, c.On = draw([]string{"dusk", "on", "moon off"}), on
		case operate.WorkLight, operate.HoldExposure:
			c.On = on
		case operate.Identify, operate.Aim, operate.Alone, operate.With:
			if on {
				c.Name = draw(sources)
			}
		case operate.Without:
			c.Name = draw(sources)
		case operate.KeepAs, operate.Attach, operate.Note, operate.Missed:
			c.Name = newName.Draw(t, "new")
		case operate.Mirror:
			if on {
				c.Name = newName.Draw(t, "new")
			}
		case operate.NewAngle:
			c.Name, c.Azimuth = newName.Draw(t, "new"), degrees()
		case operate.CopyTo:
			c.Names = rapid.SliceOfN(rapid.SampledFrom(s.CueNames()), 1, 3).Draw(t, "cues")
		case operate.Play:
			c.Name = "round the boat"
		case operate.Picture:
			c.Number = rapid.IntRange(0, operate.MaxPicture).Draw(t, "number")
		case operate.TrimVerb:
			c.Trim = &operate.Trim{All: on}
			if !on && rapid.Bool().Draw(t, "in") {
				c.Trim.Cues = rapid.SliceOfN(rapid.SampledFrom(s.CueNames()), 1, 3).Draw(t, "cues")
			}
			for range rapid.IntRange(1, 3).Draw(t, "parts") {
				p := operate.Part{Of: draw([]string{"", "sky", "sky up", "key", "accent"})}
				switch rapid.IntRange(0, 4).Draw(t, "change") {
				case 0:
					q := stops("+", "-")
					p.Stops = &q
				case 1:
					l, err := cue.ParseLevel(draw([]string{"60 %", "-1.5 stops", "key +1/3 stop", "850 lx", "off", "key"}))
					if err != nil {
						t.Fatal(err)
					}
					p.Level = &l
				case 2:
					p.Mired = float64(rapid.IntRange(1, 500).Draw(t, "mired"))
				case 3:
					p.Tint = float64(rapid.IntRange(1, 50).Draw(t, "tint")) / -1000
				default:
					spec, err := colour.ParseSpec(draw([]string{"5600 K", "white +20 mired tint -0.001", "#ff6a1a", "xy 0.45 0.41", "u'v' 0.21 0.49", "hue 30 sat 60 %"}))
					if err != nil {
						t.Fatal(err)
					}
					p.Colour = &spec
				}
				c.Trim.Parts = append(c.Trim.Parts, p)
			}
		}
		return c
	})
}

// What a command prints is read back as the same command, whatever the names.
func TestCommandsPrintBack(t *testing.T) {
	name := rapid.StringMatching(`[ -~äµ—]{1,20}`)
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfNDistinct(name, 1, 5, rapid.ID).Draw(t, "names")
		c := operate.Command{Verb: operate.Go, Name: rapid.SampledFrom(names).Draw(t, "name")}
		got, err := operate.Parse(c.String(), shoot(names...))
		if err != nil || !reflect.DeepEqual(got, c) {
			t.Fatalf("%s is read as %v (%v)", c, got, err)
		}
	})
	s := onBoard()
	rapid.Check(t, func(t *rapid.T) {
		c := anyCommand(s).Draw(t, "command")
		got, err := operate.Parse(c.String(), s)
		if err != nil || !reflect.DeepEqual(got, c) {
			t.Fatalf("%s is read as %s %+v (%v), was %+v", c, got, got, err, c)
		}
		timed := operate.Timed{At: 2.5, Command: c}
		p, err := operate.ParseProgram("p", "0s next; "+timed.String()+" ; 3s dark # over", s)
		if err != nil || len(p) != 3 || !reflect.DeepEqual(p[1], timed) {
			t.Fatalf("%s in a program is %v (%v)", timed, p, err)
		}
	})
}

// Every command of the grammar that help lists can be given, and help lists
// every verb.
func TestGrammarIsTheGrammar(t *testing.T) {
	s := onBoard()
	example := strings.NewReplacer(
		"trim in CUE, CUE LIGHT", `trim in bow, "4°" sky`,
		"CUE", "bow", "ANGLE", "beam", "DEGREES", "80", "STOPS", "1 stop", "LOOK", "dusk", "SOURCE", "sky", "LIGHT", "sky",
		"LEVEL", "60 %", "COLOUR", "2200 K", "NAME", "new one", "FILE", "a.jpg", "TEXT", "polished", "SEQUENCE", "round the boat",
		"N mired", "5 mired", "picture N", "picture 5", "WHY", "the mirror was down",
	)
	listed := map[operate.Verb]bool{}
	for _, chapter := range operate.Grammar() {
		if chapter.Title == "" {
			t.Error("a chapter without a title")
		}
		for _, u := range chapter.Commands {
			c, err := operate.Parse(example.Replace(u.Command), s)
			if err != nil {
				t.Errorf("%s: %v", u.Command, err)
			}
			listed[c.Verb] = true
			if u.Help == "" {
				t.Errorf("%s has no help", u.Command)
			}
		}
	}
	for _, v := range operate.Verbs() {
		if !listed[v] {
			t.Errorf("help says nothing of %s", v)
		}
	}
}

// A program may call the cues that it makes.
func TestProgramsCallWhatTheyMake(t *testing.T) {
	text := "0s next; 1s keep as low sun; 2s new angle wake at 200; 3s mirror as lee side; 4s go low sun; 5s go wake; 6s copy to lee side"
	p, err := operate.ParseProgram("p", text, onBoard())
	if err != nil || len(p) != 7 {
		t.Fatalf("%v (%v)", p, err)
	}
	if _, err := operate.ParseProgram("p", "0s go low sun; 1s keep as low sun", onBoard()); err == nil {
		t.Error("a cue is called before it is made")
	}
}

func FuzzParse(f *testing.F) {
	s := onBoard()
	for _, text := range []string{
		"go to 80", "go to beam", "whole up 1/2 stop", "look dusk on", "trim in all cues: everything 20 mired warmer, fill down 1/3",
		`trim in "bow", beam, low "sky up" to key -1 stop`, "trim sky tint +0.001", "trim sky colour #ff6a1a", "copy to bow, 4°",
		"new angle a at b at 110", "keep as x", "mirror as y", "note a\"b", "picture 99999999", "match exposure to bow", "hold exposure off",
		"next", "back", "go bow", `go "bow at dusk"`, `go "the \"old\" one"`, "go 4°", "hold", "resume",
		"dark", "dark off", "confirm", "", "go", `go "`, `go "\`, "dark  on", "nxt", "go \xff\xfe", "next;", "\u00a0go\u00a0bow",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		c, err := operate.Parse(text, s)
		if err != nil {
			if msg := err.Error(); msg == "" || strings.ContainsAny(msg, "\n\r\x1b") {
				t.Fatalf("%q: the message %q would spoil a terminal", text, msg)
			}
			return
		}
		if again, err := operate.Parse(c.String(), s); err != nil || !reflect.DeepEqual(again, c) {
			t.Fatalf("%q is %v, which is read back as %v (%v)", text, c, again, err)
		}
	})
}
