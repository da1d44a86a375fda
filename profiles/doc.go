// Package profiles holds the generic profiles that come with the program and
// reads profile files: what a make of light understands, one file a make.
//
// A profile is TOML. A shoot's own folder of profiles comes before the ones
// that come along, so that a name found in both means the shoot's own.
//
//	name  = "bicolour-panel"
//	title = "Bi-colour panel, a slot for each white"
//	note  = "Typical of the trade, not measured."
//
//	settle    = "0.3 s"            # how long the light smooths a step; left out = at once
//	max-power = "40 W"             # most the whole light draws; left out = no limit known
//	standby   = "1 W"              # drawn in the dark
//
//	[[emitter]]
//	name   = "warm"
//	colour = "2700 K tint +0.001"  # as colours are written in cues, "white" excepted
//	flux   = "1800 lm"             # at full drive, all cells of a strip together
//	power  = "18 W"                # at full drive
//
//	[[emitter]]
//	name  = "cool"
//	peaks = [                      # instead of a colour: a spectrum of bell curves
//	  { at = "452 nm", width = "20 nm", power = 0.45 },
//	  { at = "555 nm", width = "120 nm" },
//	]
//	flux  = "2000 lm"
//	power = "18 W"
//
//	[[slot]]
//	at      = 1
//	emitter = "warm"
//
//	[[slot]]
//	at      = 2
//	emitter = "cool"
//
// # Slots
//
// Each [[slot]] has its place within the light, at, counted from 1, and with
// fine a second slot that makes it 16 bit; the two may stand anywhere. It does
// exactly one of these:
//
//	emitter    = "warm"                   # drives one emitter
//	dimmer     = true                     # master over everything
//	cct        = ["2700 K", "6500 K"]     # at the lowest and the highest code
//	tint       = [-0.02, 0.02]            # Duv at the lowest and the highest code
//	hue        = ["0 deg", "360 deg"]
//	saturation = ["0 %", "100 %"]
//	azimuth    = ["0 deg", "360 deg"]     # where a motor table stands
//	speed      = ["-30 deg/s", "30 deg/s"]
//	value      = 0                        # always sent, in the dark too; say why in a note
//
// Further keys belong to some of them. A dimmer and an emitter take response,
// how code becomes light: "linear" (if left out), "square", "s",
// { gamma = 2.2 } or { table = [[0, 0], [0.5, 0.2], [1, 1]] }, and floor, the
// lowest code that gives light. An emitter has these two in its [[emitter]]. A
// cct takes law, "kelvin" (if left out) or "mired": in which of them the slot is
// even; or, instead of a range, what was measured:
//
//	cct = [
//	  { at = 0, white = "2650 K tint +0.002", flux = "92 %" },
//	  { at = 0.5, white = "4100 K tint -0.001" },
//	  { at = 1, white = "6700 K" },
//	]
//
// A saturation takes white, the colour at none ("5600 K" if left out). A speed
// needs stop, the code that stands still.
//
// # Which light is which
//
// A light with emitter slots is mixed by this program; with a dimmer slot too,
// its brightest emitter stands at full and the dimmer carries the level. A light
// with a dimmer and no emitter slot mixes for itself: by cct, by cct and tint,
// by hue and saturation (the dimmer is then its intensity), or not at all (one
// white). For cct it has either two emitters, between which it mixes, or none
// and the flux of the whole light; for hue three, at 0, 120 and 240 degrees.
//
// # Strips
//
// cells = 40 and stride = 3 make the emitter slots those of the first of 40
// cells, three slots from one to the next. Other slots belong to the whole.
//
// What this package refuses to know: rigs, cues, and where a light stands.
package profiles
