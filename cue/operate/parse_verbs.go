package operate

import (
	"fmt"
	"strconv"
	"strings"

	"limn/cue"
	"limn/fixtures/quantity"
)

// parseGo reads a cue's name, or an angle after to.
func (p *parser) parseGo() (Command, *wrong) {
	name := p.rest()
	if _, cure := find(name, p.names.cues); p.is("to") && cure != "" {
		p.word()
		return p.parseGoTo()
	}
	name, bad := p.lastKnown("go", "cue", p.names.cues)
	if bad != nil {
		if angle, cure := find(p.unquotedRest(), p.names.angles); cure == "" && angle != "" {
			bad.cure = fmt.Sprintf("that is an angle: write go to %s", angle)
		}
		return Command{}, bad
	}
	return Command{Verb: Go, Name: name}, nil
}

func (p *parser) unquotedRest() string { return strings.Trim(p.rest(), `"`) }

func (p *parser) parseGoTo() (Command, *wrong) {
	if first := strings.TrimLeft(p.rest(), signs); first != "" && first[0] >= '0' && first[0] <= '9' {
		if _, cure := find(p.rest(), p.names.angles); cure != "" {
			a, bad := p.degrees("go to")
			return Command{Verb: GoTo, Azimuth: a}, bad
		}
	}
	if _, cure := find(p.unquotedRest(), p.names.angles); cure != "" {
		if found, cure := find(p.unquotedRest(), p.names.cues); cure == "" {
			return Command{Verb: Go, Name: found}, nil
		}
	}
	name, bad := p.lastKnown("go to", "angle", p.names.angles)
	if bad != nil && p.rest() == "" {
		bad.cure = "write degrees or an angle's name, as in go to 80"
	}
	return Command{Verb: GoTo, Name: name}, bad
}

// degrees takes the rest as an azimuth.
func (p *parser) degrees(after string) (quantity.Degrees, *wrong) {
	if p.rest() == "" {
		return quantity.Degrees{}, p.wrong(after+" does not say where", "write degrees, as in "+after+" 80")
	}
	a, err := quantity.ParseDegrees(p.rest())
	if err != nil {
		return a, wrongOf(p.at, err)
	}
	if a.Degrees < -cue.MaxAzimuth || a.Degrees > cue.MaxAzimuth {
		return a, p.wrong(fmt.Sprintf("%s is more than a turn", p.rest()), "an azimuth goes from -360 to 360; 0 is bow toward the camera, counter-clockwise is more")
	}
	return a, nil
}

// parseWhole reads "up 1/2 stop", "down 1 stop", "to -1 stop", "off".
func (p *parser) parseWhole() (Command, *wrong) {
	const cure = "write whole up 1/2 stop, whole down 1 stop, or whole to 0 stops"
	switch at := p.at; strings.ToLower(p.word()) {
	case "up":
		s, bad := parseUpDown("up", p.rest(), p.at)
		return Command{Verb: WholeBy, Stops: s}, bad
	case "down":
		s, bad := parseUpDown("down", p.rest(), p.at)
		return Command{Verb: WholeBy, Stops: s}, bad
	case "to":
		s, err := quantity.ParseStops(p.rest())
		if err != nil {
			return Command{}, wrongOf(p.at, err)
		}
		return Command{Verb: WholeTo, Stops: s}, nil
	default:
		p.at = at
		return p.after("whole", cure)
	}
}

// parseLook reads a look's name and on or off.
func (p *parser) parseLook() (Command, *wrong) {
	text := p.rest()
	at := strings.LastIndexAny(text, blanks) + 1
	on := false
	switch last := strings.ToLower(text[at:]); last {
	case "on":
		on = true
	case "off":
	default:
		if text != "" {
			return Command{}, &wrong{p.at + len(text), "look does not say on or off", fmt.Sprintf("write look %s on, or look %[1]s off", printable(text))}
		}
	}
	p.text = strings.TrimRight(p.text[:p.at+at], blanks)
	p.at = min(p.at, len(p.text))
	name, bad := p.lastKnown("look", "look", p.names.looks)
	return Command{Verb: Look, Name: name, On: on}, bad
}

// printable is a text that spoils no terminal.
func printable(text string) string {
	q := strconv.Quote(text)
	if q == `"`+text+`"` {
		return text
	}
	return q
}

func (p *parser) parseOnOff(verb Verb) (Command, *wrong) {
	switch {
	case strings.EqualFold(p.rest(), "on"):
		return Command{Verb: verb, On: true}, nil
	case strings.EqualFold(p.rest(), "off"):
		return Command{Verb: verb}, nil
	}
	return p.after(string(verb), fmt.Sprintf("write %s on, or %[1]s off", verb))
}

// parseSource reads a source's name, or the word for none or all, if there is one.
func (p *parser) parseSource(verb Verb, none string, names []string) (Command, *wrong) {
	if none != "" && strings.EqualFold(p.rest(), none) {
		return Command{Verb: verb}, nil
	}
	name, bad := p.lastKnown(string(verb), "source", names)
	return Command{Verb: verb, Name: name}, bad
}

func (p *parser) parseMatch() (Command, *wrong) {
	const cure = "write match exposure to and a cue's name"
	if !p.is("exposure") {
		return p.after("match", cure)
	}
	p.word()
	if !p.is("to") {
		return p.after("match exposure", cure)
	}
	p.word()
	name, bad := p.lastKnown(string(MatchExposure), "cue", p.names.cues)
	return Command{Verb: MatchExposure, Name: name}, bad
}

func (p *parser) parseCopy() (Command, *wrong) {
	if !p.is("to") {
		return p.after("copy", "write copy to and the names of cues, parted by commas")
	}
	p.word()
	c := Command{Verb: CopyTo}
	for {
		name, bad := p.known("cue", p.names.cues)
		if bad != nil {
			return Command{}, bad
		}
		c.Names = append(c.Names, name)
		if !p.comma() {
			break
		}
	}
	if p.rest() != "" {
		return p.after("the names", "part them with commas")
	}
	return c, nil
}

// newCue takes the rest as the name of a cue that is not there yet.
func (p *parser) newCue(after string) (string, *wrong) {
	at := p.at
	name, bad := p.lastNew(after, fmt.Sprintf("write the new cue's name after it, as in %s bow at dusk", after))
	if bad != nil {
		return "", bad
	}
	if found, cure := find(name, p.names.cues); cure == "" {
		return "", &wrong{at, fmt.Sprintf("there is a cue %q already", found), "give the new one another name"}
	}
	return name, nil
}

func (p *parser) parseNewAngle() (Command, *wrong) {
	const cure = `write new angle NAME at DEGREES, as in new angle low bow at 110`
	if !p.is("angle") {
		return p.after("new", cure)
	}
	p.word()
	text := p.rest()
	cut := strings.LastIndex(strings.ToLower(text), " at ")
	if cut < 0 || len(strings.ToLower(text)) != len(text) {
		return p.after("new angle", cure)
	}
	azimuth := &parser{text: p.text, at: p.at + cut + len(" at "), names: p.names}
	a, bad := azimuth.degrees("new angle " + printable(text[:cut]) + " at")
	if bad != nil {
		return Command{}, bad
	}
	p.text = strings.TrimRight(p.text[:p.at+cut], blanks)
	p.at = min(p.at, len(p.text))
	name, bad := p.newCue("new angle")
	return Command{Verb: NewAngle, Name: name, Azimuth: a}, bad
}
