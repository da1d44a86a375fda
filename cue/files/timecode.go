package files

import (
	"strconv"

	"limn/cue"
	"limn/profiles/tomlfile"
)

// timeCode reads [timecode].
func (l *loader) timeCode(t *tomlfile.Table) {
	if t == nil {
		return
	}
	c := cue.TimeCode{Origin: origin(t.Pos()), Rate: cue.TimeCodeRates()[0]}
	t.Require("to", `to = "192.168.1.60", the machine that follows`)
	if to, ok := tomlfile.Read(t, "to", func(s string) (string, error) { return s, destination(s, cue.ArtNet) }); ok {
		c.To = to
	}
	if v, ok := t.Value("rate"); ok {
		c.Rate = l.timeCodeRate(v)
	}
	if n, ok := t.Int("stream"); ok {
		if n < 0 || n > 255 {
			l.ps.Error(t.ValuePos("stream"), "streams go from 0, the master, to 255", "there is no stream %d", n)
		} else {
			c.Stream = n
		}
	}
	l.shoot.TimeCode = c
}

// timeCodeRate reads a rate as a number or a text.
func (l *loader) timeCodeRate(v tomlfile.Value) string {
	n, isNumber := v.Number()
	text, _ := v.Text()
	for rate, value := range map[string]float64{"24": 24, "25": 25, "29.97": 29.97, "30": 30} {
		if isNumber && n == value || text == rate {
			return rate
		}
	}
	shown := describe(v)
	if isNumber {
		shown = strconv.FormatFloat(n, 'g', -1, 64)
	}
	l.ps.Error(v.Pos(), "time code has 24, 25, 29.97 or 30 frames a second", "the rate is %s", shown)
	return cue.TimeCodeRates()[0]
}
