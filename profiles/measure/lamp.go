package measure

// Lamp sets lights for a reading. Set shows one control of a source alone, every
// other control of that source and every other source dark, and returns when the
// light has settled. Whoever drives it holds the last light when Set fails.
//
// control is an emitter as the profile names it, "dimmer" or "cct" (see [Controls]),
// or [Whole]; level is the share 0..1 of the highest code. At level 0 all is dark,
// whatever the control, CCT excepted. A cct is shown with the dimmer at full, a dimmer with every
// emitter at full, an emitter under a dimmer with the dimmer at full.
type Lamp interface {
	Set(source, control string, level float64) error
}
