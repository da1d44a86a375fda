package main

import (
	"encoding/hex"
	"strconv"
	"time"

	"limn/cue"
	"limn/dmx"
	"limn/dmx/artnet"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// reader turns received slots back into light, with the rig of a shoot.
type reader struct {
	shoot     *cue.Shoot
	renderer  *fixtures.Renderer
	addresses []uint16 // Port-Addresses, parallel to the renderer's universes
	numbers   []uint16 // the same in sACN
	frames    []dmx.Frame
	light     []colour.XYZ
}

func newReader(shoot *cue.Shoot) (*reader, error) {
	r, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		return nil, err
	}
	us := r.Universes()
	rd := &reader{
		shoot: shoot, renderer: r, addresses: make([]uint16, len(us)),
		frames: make([]dmx.Frame, len(us)), light: make([]colour.XYZ, len(shoot.Rig.Sources)),
	}
	for i, u := range us {
		if rd.addresses[i], err = artnet.PortAddress(dmx.Universe(u), wireOffset(shoot, cue.ArtNet, u)); err != nil {
			return nil, failuref(statusFiles, "", "%v", err)
		}
		rd.numbers = append(rd.numbers, uint16(u+wireOffset(shoot, cue.SACN, u)))
	}
	return rd, nil
}

// wireOffset is what the shoot's output of a kind adds to a universe's number on the wire.
func wireOffset(shoot *cue.Shoot, kind string, universe int) int {
	for _, o := range shoot.Outputs {
		if o.Kind != kind {
			continue
		}
		for _, u := range o.Universes {
			if u == universe {
				return o.Offset
			}
		}
	}
	return 0
}

// toldLight is what one source is being told.
type toldLight struct {
	source int // in the rig
	name   string
	hand   bool
	light  colour.XYZ
	level  float64 // share of the most the source gives at that colour
}

// read gives the light of every source that gives any, by the slots heard last;
// nil as long as nothing of this rig has arrived.
func (rd *reader) read(heard *reception) []toldLight {
	if heard.frames(rd.addresses, rd.frames) == 0 {
		return nil
	}
	return rd.lights()
}

// lights reads the frames.
func (rd *reader) lights() []toldLight {
	rd.renderer.Read(rd.frames, rd.light)
	var out []toldLight
	for i, s := range rd.shoot.Rig.Sources {
		if !givesLight(&s) {
			continue
		}
		out = append(out, toldLight{
			source: i, name: s.Name, hand: s.Hand, light: rd.light[i], level: share(rd.renderer, i, rd.light[i]),
		})
	}
	return out
}

// milliseconds is a time in JSON.
func milliseconds(d time.Duration) number { return number{float64(d) / float64(time.Millisecond), 2} }

// listenObject is one line of listen --json.
func listenObject(at, since time.Duration, reports []portReport, lights []toldLight, refused int64, rd *reader) any {
	ports := object{}
	for _, r := range reports {
		changed := r.Changed
		if changed == nil {
			changed = []int{}
		}
		ports = append(ports, member{strconv.Itoa(int(r.PortAddress)), object{
			{"from", r.From.String()},
			{"senders", r.Senders},
			{"rate", number{rate(r.Fresh, since), 1}},
			{"received", r.Received},
			{"gaps", r.Lost},
			{"jitter_ms", milliseconds(r.Jitter)},
			{"longest_gap_ms", milliseconds(r.LongestGap)},
			{"conflict", r.Conflict},
			{"changed", changed},
			{"slots", hex.EncodeToString(r.Data[:r.Length])},
		}})
	}
	o := object{
		{"version", jsonVersion},
		{"t", number{at.Seconds(), 3}},
		{"universes", ports},
		{"refused", refused},
	}
	if rd == nil {
		return o
	}
	told := object{}
	for _, l := range lights {
		told = append(told, member{l.name, toldObject(l)})
	}
	return append(o, member{"light", told})
}

// toldObject is the light of one source; null for one set by hand, which is told nothing.
func toldObject(l toldLight) any {
	if l.hand {
		return nil
	}
	xy, ok := l.light.XY()
	w := colour.White{Kelvin: none, Duv: none}
	if !ok {
		xy = colour.XY{X: none, Y: none}
	} else if white, ok := xy.White(); ok {
		w = white
	}
	return object{
		{"x", number{xy.X, chromaticityDecimals}},
		{"y", number{xy.Y, chromaticityDecimals}},
		{"Y", digits{l.light.Y, lightDigits}},
		{"kelvin", number{w.Kelvin, 1}},
		{"tint", number{w.Duv, chromaticityDecimals}},
		{"level", number{l.level, 4}},
	}
}
