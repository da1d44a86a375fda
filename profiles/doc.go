// Package profiles holds the generic profiles that come with the program and
// reads profile files: what a make of light understands, one file a make. It
// reads and writes calibration files too: what was measured of one very light.
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
//	pwm       = { frequency = "2 kHz" }  # of its dimming; depth = "30 %", shape = "sine" where it only swings
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
//	  { at = "452 nm", width = "20 nm" },
//	  { at = "520 nm", width = "110 nm", power = 0.47 },
//	  { at = "620 nm", width = "120 nm", power = 0.375 },
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
// # Calibrations
//
// A calibration is TOML of version 1, one file for one light. A source of a shoot
// names it, as calibration = "calibrations/sky.toml". What it says goes over the
// profile; what it leaves out stays the profile's.
//
//	version    = 1
//	profile    = "bicolour-panel-16bit"  # it was measured with; told if the source's is another
//	instrument = "hand spectrometer"
//	date       = "2026-11-20"
//	note       = "after half an hour, diffuser on"
//	distance   = "0.55 m"     # from the light's face to the meter, of every lux below;
//	                          # left out = read at the aim point
//	full       = "3420 lx"    # the whole light at the most it gives; left out = what its
//	                          # emitters add up to
//	warm-up = [               # light lost since switching on; only told
//	  { after = "5 min", loss = "2.5 %" },
//	  { after = "30 min", loss = "4 %" },
//	]
//
//	[[emitter]]
//	name     = "warm"                 # as the profile names it
//	colour   = "xy 0.4573 0.4089"     # alone and at full
//	lux      = "1610 lx"              # alone and at full; or flux = "1750 lm"
//	response = { table = [[0, 0], [0.5, 0.46], [1, 1]] } # as in profiles
//	floor    = 40                     # lowest code that gives light
//	dimmed   = [                      # its colour at shares of its full light
//	  { level = "50 %", colour = "xy 0.4561 0.4079" },
//	  { level = "10 %", colour = "xy 0.4548 0.4067" },
//	]
//
// All emitters are measured in lux or all in lumens: how they compare is what
// counts. Lux are those at the aim point while the light stands where it was
// measured: without a distance always, else within 1 % of it. Between the levels
// of dimmed the colour is straight in u'v' over stops; below the lowest it stays
// as it is there, so measure down to a fifth of the lowest level you use.
//
// A light that mixes for itself has the response and floor of its [dimmer], and
// may have a table of its cct slot and the drift of its white, against what it is
// at full (mired: + warmer; tint: + greener):
//
//	cct   = [{ at = 0, white = "2650 K tint +0.002", flux = "92 %" }, { at = 1, white = "6700 K" }]
//	drift = [{ level = "10 %", mired = 6, tint = -0.004 }]
//
//	[dimmer]
//	response = "square"
//
// What this package refuses to know: rigs, cues, and where a light stands.
package profiles
