package dial

import (
	"math"
	"slices"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// view is what every medium draws: a snapshot with the shoot it is of, in words
// and figures.
type view struct {
	shoot   *cue.Shoot
	snap    *cue.Snapshot
	now     *cue.Resolved // the cue that stands; nil = none
	next    *cue.Resolved // nil = none
	white   colour.XY     // the camera's
	azimuth float64       // of the table

	stood   bool    // somebody told how the table stands
	speed   float64 // of the table, degrees a second
	turning bool    // the table is to stand elsewhere than it does:
	turnTo  float64 // there

	lamps  []lamp
	cards  []card
	angles []angle

	cue, where string // the cue's name, and how the table stands
	state      state
	over       []string // what lies over the cue
	tile       tile
}

// lamp is one source.
type lamp struct {
	index        int
	name, role   string
	stand        stand
	lit, hand    bool
	light        colour.XYZ // as it comes out; by hand: as it was asked for
	asked        colour.XYZ
	colour, miss string // in words; miss = what comes out instead, "" = the same
	gauge        cue.Gauge
	stops        string // against the key
	level        string // in the user's words, where they say something else
	lux          string
	lights       string // the part of the model that it lights
	flags        []string
	glow         float64 // 0..1
	picked       bool    // alone, aimed or identified
	out          bool    // taken out
}

// stand is where something stands, in metres about the table's axis.
type stand struct {
	place         fixtures.Place
	mark          string
	width, height float64
	guessed       bool // nobody told its size
}

type card struct {
	index       int
	name, kind  string
	stand       stand
	description string
}

// angle is one angle of the strip and of the ring.
type angle struct {
	name    string
	azimuth float64
	now     bool // the table stands there
	due     bool // the next cue is there
	index   int  // in Shoot.Angles; -1 = an azimuth that only a cue has
}

// Sizes of what nobody told the size of, metres (common practice, no source): a
// hand-held card or a small panel, and a table-top model.
const (
	usualCard   = 0.15
	usualLamp   = 0.08
	usualLength = 0.5
	usualBeam   = 0.34 // of the length
)

func newView(shoot *cue.Shoot, snap *cue.Snapshot) *view {
	v := &view{shoot: shoot, snap: snap, white: shoot.Camera.White.XY(), azimuth: turned(snap.Azimuth), speed: finite(snap.Speed)}
	v.now, v.next = v.resolved(snap.Cue), v.resolved(snap.Next)
	v.cue = clean(snap.CueName)
	v.state = v.stateOf()
	v.stood = v.now != nil || v.cue != "" || snap.Here || !shoot.Turntable.Hand
	v.turn()
	v.lamps, v.cards, v.angles = v.lampsOf(), v.cardsOf(), v.anglesOf()
	v.where, v.over = v.whereOf(), v.overOf()
	v.tile = v.tileOf()
	return v
}

func (v *view) resolved(i int) *cue.Resolved {
	if i < 0 || i >= len(v.shoot.Resolved) {
		return nil
	}
	return &v.shoot.Resolved[i]
}

// finite is a figure that can be drawn.
func finite(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return x
}

// turned is an azimuth within one turn.
func turned(azimuth float64) float64 { return math.Mod(finite(azimuth), 360) }

// turn looks whether the table is to stand elsewhere.
func (v *view) turn() {
	var to float64
	switch {
	case v.snap.Here:
		to = turned(v.snap.HereAt)
	case v.now != nil && v.now.HasAngle:
		to = turned(v.now.Azimuth)
	default:
		return
	}
	v.turning = v.snap.Sequence == "" && math.Abs(cue.Turn(v.azimuth, to)) > cue.DeadBand
	v.turnTo = to
}

func (v *view) lampsOf() []lamp {
	var out []lamp
	for i := range v.shoot.Rig.Sources {
		src := &v.shoot.Rig.Sources[i]
		if !src.Hand && src.Profile != nil && !src.Profile.HasLight() {
			continue // a motor table
		}
		out = append(out, v.lamp(i, src))
	}
	return out
}

func (v *view) lamp(i int, src *fixtures.Source) lamp {
	l := lamp{index: i, name: clean(src.Name), role: string(src.Role), hand: src.Hand}
	place, mark := v.shoot.PlaceOf(i, v.now)
	l.stand = stand{place: place, mark: clean(mark), width: finite(src.Width.Metres), height: finite(src.Height.Metres)}
	if l.stand.width <= 0 {
		l.stand.width, l.stand.guessed = usualLamp, true
	}
	if l.stand.height <= 0 {
		l.stand.height = l.stand.width
	}
	l.lights = v.shoot.Lights(i, v.now, v.azimuth)
	if !v.stood && l.lights != backdrop && !place.Rides && math.Abs(finite(place.Elevation.Degrees)) < overheadFrom {
		l.lights = "" // nobody knows which side is there
	}
	l.gauge = cue.Gauge{Now: math.NaN(), Kept: math.NaN(), Most: math.NaN()}
	if i < len(v.snap.Sources) {
		v.lightOf(&l, src)
	}
	l.flagsOf(v.snap, src, i)
	return l
}

// lightOf fills in what the snapshot says of a source.
func (v *view) lightOf(l *lamp, src *fixtures.Source) {
	s := &v.snap.Sources[l.index]
	l.asked, l.light = s.Asked, s.Reached
	if l.hand {
		l.light = s.Asked
	}
	xy, ok := l.asked.XY()
	got, shines := l.light.XY()
	l.lit = shines && l.light.Y > 0
	if l.gauge = v.shoot.Gauge(v.snap, l.index); !ok {
		l.gauge.Now, l.gauge.Most = math.Inf(-1), math.NaN()
	}
	l.stops = rulerWords(l.gauge.Now, src.Role == fixtures.Key, ok)
	l.lux = luxWords(s.Lux)
	if lv, err := cue.ParseLevel(s.Level); err == nil && ok && v.settledLevel(lv) {
		l.level = clean(s.Level)
	}
	l.colour = colourWords(l.asked, v.white)
	if shines && ok && colour.Steps(got, xy) >= toldSteps {
		l.miss = colourWords(l.light, v.white)
	}
	l.glow = glowOf(l.light, s.KeyStops)
}

// settledLevel says whether a level's own words say more than stops and lux do: not
// while the light is on its way to it.
func (v *view) settledLevel(l cue.Level) bool {
	return (l.Kind() == cue.LevelPercent || l.Kind() == cue.LevelStops) && !v.moves()
}

// figure is the level of a source in one figure: stops against the key, else what
// can be told without it.
func (l *lamp) figure() string {
	switch {
	case l.stops != "?" && l.stops != "":
		return l.stops
	case l.lux != "":
		return l.lux
	case l.level != "":
		return l.level
	}
	return "?"
}

// toldSteps is the least miss of a colour that is told, in steps of Δu'v' 0.0011:
// what two people of three see side by side (common practice, no source).
const toldSteps = 2

// rulerWords is a place on the exposure ruler in words.
func rulerWords(stops float64, key, lit bool) string {
	switch {
	case !lit || math.IsInf(stops, -1):
		return "off"
	case key:
		return "key"
	case math.IsNaN(stops), math.IsInf(stops, 0):
		return "?"
	}
	return stopsWords(stops)
}

// deepest is how far below the key a light still glows in the picture, stops.
const deepest = 7.0

// glowOf is how strongly a light glows in the picture: evenly in stops, as the eye
// counts.
func glowOf(light colour.XYZ, stops float64) float64 {
	if !(light.Y > 0) {
		return 0
	}
	if math.IsNaN(stops) || math.IsInf(stops, 0) {
		stops = math.Log2(light.Y)
	}
	return min(max(1+finite(stops)/deepest, 0.08), 1)
}

func (l *lamp) flagsOf(snap *cue.Snapshot, src *fixtures.Source, i int) {
	flag := func(on bool, word string) {
		if on {
			l.flags = append(l.flags, word)
		}
	}
	l.out = slices.Contains(snap.Without, i)
	l.picked = snap.Alone == i && snap.Alone >= 0 || snap.Aim == i && snap.Aim >= 0 || snap.Identify == i && snap.Identify >= 0
	flag(snap.Identify == i, "this one")
	flag(snap.Aim == i, "aiming")
	flag(snap.Alone == i, "alone")
	flag(l.out, "taken out")
	flag(src.Hand, "by hand")
	flag(!l.stand.place.Known, "no place")
	if i < len(snap.Sources) && snap.Sources[i].Trimmed {
		was := clean(snap.Sources[i].KeptLevel)
		if was == clean(snap.Sources[i].Level) {
			was = clean(snap.Sources[i].KeptColour)
		}
		flag(true, "trimmed from "+was)
	}
}

func (v *view) cardsOf() []card {
	if v.now == nil {
		return nil
	}
	var out []card
	for _, p := range v.now.Cards {
		if p.Out || p.Card < 0 || p.Card >= len(v.shoot.Cards) {
			continue
		}
		c := &v.shoot.Cards[p.Card]
		k := card{index: p.Card, name: clean(c.Name), kind: c.Kind}
		k.stand = stand{place: p.Place, mark: clean(p.Mark), width: finite(c.Width.Metres), height: finite(c.Height.Metres)}
		if k.stand.width <= 0 {
			k.stand.width, k.stand.guessed = usualCard, true
		}
		if k.stand.height <= 0 {
			k.stand.height = k.stand.width
		}
		k.description = clean(c.Kind + " card")
		if k.stand.mark != "" {
			k.description += ", " + k.stand.mark
		}
		out = append(out, k)
	}
	return out
}

// anglesOf are the angles of the shoot in the order they were written, then the
// azimuths that only a cue has.
func (v *view) anglesOf() []angle {
	var out []angle
	at := func(azimuth float64) bool {
		return slices.ContainsFunc(out, func(a angle) bool { return math.Abs(cue.Turn(a.azimuth, azimuth)) <= cue.DeadBand })
	}
	for i := range v.shoot.Angles {
		a := &v.shoot.Angles[i]
		out = append(out, angle{name: clean(a.Name), azimuth: turned(a.Azimuth), index: i})
	}
	for i := range v.shoot.Resolved {
		if r := &v.shoot.Resolved[i]; r.HasAngle && !at(turned(r.Azimuth)) {
			if len(out) >= maxAngles {
				break
			}
			out = append(out, angle{name: clean(r.Name), azimuth: turned(r.Azimuth), index: -1})
		}
	}
	for i := range out {
		a := &out[i]
		a.now = v.stood && math.Abs(cue.Turn(a.azimuth, v.azimuth)) <= cue.DeadBand
		a.due = !a.now && v.next != nil && v.next.HasAngle && math.Abs(cue.Turn(a.azimuth, v.next.Azimuth)) <= cue.DeadBand
		if v.turning {
			a.due = !a.now && math.Abs(cue.Turn(a.azimuth, v.turnTo)) <= cue.DeadBand
		}
	}
	return out
}

// maxAngles is the most angles that are looked through for the strip.
const maxAngles = cue.MaxNames
