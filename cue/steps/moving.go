package steps

import (
	"fmt"

	"limn/cue"
)

// moving is Next of a sequence by angle.
func (t *Stepper) moving(f Facts) (Deed, int64) {
	ask := func(text string) (Deed, int64) {
		d := t.deed(Rest, text)
		d.Ask = text
		return d, -1
	}
	// settled waits for light and table to be at rest.
	settled := func(a Action, text string) (Deed, int64) {
		if f.SettledAt < 0 {
			return t.deed(Rest, "waiting for hands"), -1
		}
		return t.deed(a, text), max(f.SettledAt, t.since, f.K)
	}
	switch t.phase {
	case toReady:
		if t.motor() {
			return ask("the table moves to the first mark: keep fingers and cables clear; confirm")
		}
		return t.deed(Ready, "light for the first mark"), f.K
	case mayReady:
		return t.deed(Ready, "to the first mark"), f.K
	case readying:
		return settled(Rest, "to the first mark")
	case armed:
		return ask(t.rollingText())
	case toRoll:
		return t.deed(Roll, "the table turns"), f.K
	case rolling:
		if t.q.Turning.Drive == cue.DriveStream || f.SettledAt < 0 {
			return t.deed(Rest, "the table turns; say cut when it is over"), -1
		}
		return settled(HoldEnd, "the end is held")
	case holding:
		return ask("the end is held; cut?")
	case toStop:
		return t.deed(StopTable, "the table comes to rest"), f.K
	case stopping:
		return settled(Rest, "the table comes to rest")
	case mayReturn:
		return ask("the table moves back to the first mark: keep fingers and cables clear; confirm")
	case toReturn:
		return t.deed(GoBack, "back to the first mark"), f.K
	case returning:
		return settled(Rest, "back to the first mark")
	}
	return t.deed(Over, "the shot is over; say again for another take"), f.K
}

func (t *Stepper) motor() bool { return t.q.Turning.Drive == cue.DriveMotor }

func (t *Stepper) rollingText() string {
	switch {
	case t.dry:
		return "dry run, no camera: rolling?"
	case t.q.Turning.Drive == cue.DriveConstant:
		return fmt.Sprintf("take %d: start the table, and say rolling as it passes the first mark", t.take)
	}
	return fmt.Sprintf("take %d: rolling?", t.take)
}

// afterShot is what comes once a moving shot was cut.
func (t *Stepper) afterShot(k int64) {
	t.since, t.phase = k, over
	if t.q.Turning.Return && t.motor() {
		t.phase = mayReturn
	}
}
