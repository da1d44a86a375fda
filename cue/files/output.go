package files

import (
	"time"

	"limn/cue"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// output reads one [[output]].
func (l *loader) output(t *tomlfile.Table) {
	if !l.room(len(l.shoot.Outputs), cue.MaxNames, "outputs", t) {
		return
	}
	o := cue.Output{Origin: origin(t.Pos()), OnExit: cue.Leave, Priority: cue.UsualPriority}
	o.Name = l.name(t, `name = "bench"`)
	t.Require("kind", `kind = "artnet"`)
	o.Kind, _ = t.OneOf("kind", cue.OutputKinds()...)
	l.destinations(t, &o)
	if exit, ok := t.OneOf("on-exit", cue.Leave, cue.FadeOut, cue.GoDark); ok {
		o.OnExit = exit
	}
	if l.has(t, &o, "offset", "a usb adapter has one line and no universe numbers, so no offset", cue.ArtNet, cue.SACN) {
		o.Offset, _ = t.Int("offset")
	}
	l.pace(t, &o)
	l.artNet(t, &o)
	l.sacn(t, &o)
	if l.has(t, &o, "rts", "rts is the line that switches the transmitter of some plain serial adapters on", cue.USBRaw, cue.USB) {
		rts, _ := t.OneOf("rts", "high", "low")
		o.LowRTS = rts == "low"
	}
	o.Universes = l.carried(t, &o)
	l.shoot.Outputs = append(l.shoot.Outputs, o)
}

func isUSB(kind string) bool { return kind == cue.USB || kind == cue.USBRaw || kind == cue.USBWidget }

// has says whether a key is there, and refuses it where the output's kind has no
// use for it: a setting that does nothing would be trusted.
func (l *loader) has(t *tomlfile.Table, o *cue.Output, key, why string, kinds ...string) bool {
	if !t.Has(key) {
		return false
	}
	if o.Kind == "" { // unknown, and said
		return false
	}
	for _, k := range kinds {
		if o.Kind == k {
			return true
		}
	}
	l.ps.Error(t.ValuePos(key), "take it out", "%s means nothing for kind = %s: %s", key, tomlfile.Quote(o.Kind), why)
	return false
}

// pace reads how often frames go out.
func (l *loader) pace(t *tomlfile.Table, o *cue.Output) {
	if rate, ok := t.Int("rate"); ok {
		if rate < 1 || rate > cue.MaxRate {
			l.ps.Error(t.ValuePos("rate"), "write how many frames a second it may get, 1 to 44: a full DMX512 line carries no more than 44, and Art-Net and sACN keep to that too",
				"the rate %d is out of range", rate)
		} else {
			o.Rate = rate
		}
	}
	const why = "it is about the data of a network or a framing adapter; a plain serial line is refreshed 25 times a second anyhow"
	if !l.has(t, o, "keep-alive", why, cue.ArtNet, cue.SACN, cue.USB, cue.USBWidget) {
		return
	}
	q, ok := tomlfile.Read(t, "keep-alive", quantity.ParseDuration)
	if !ok {
		return
	}
	d := time.Duration(q.Seconds * float64(time.Second))
	if d < cue.MinKeepAlive || d > cue.MaxKeepAlive {
		l.ps.Error(t.ValuePos("keep-alive"), `write from "0.1 s" to "1 s"; "0.8 s" is usual, for receivers give a sender up after 2 or 3 s`,
			"a keep-alive of %s is out of range", q)
		return
	}
	o.KeepAlive = d
}
