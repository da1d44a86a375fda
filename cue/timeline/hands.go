package timeline

import (
	"fmt"

	"limn/cue"
)

// What hands must do is the difference between the set as it was last
// confirmed and the set of the present cue; cue words it. The light fades at
// once; only settling waits for hands, and a motor table, so that it never
// turns while hands are in its way.

// call says what hands must do for the present cue, and starts the table if
// there is nothing for them to do.
func (p *Player) call(f int64) []Notice {
	p.parked, p.hands = false, nil
	if p.scene != nil {
		p.hands = p.handsFor(p.scene)
	}
	if p.scene == nil || !p.scene.HasAngle || len(p.hands) > 0 {
		p.turn = p.turn.stopped(f)
	}
	if p.scene == nil {
		return nil
	}
	if len(p.hands) == 0 {
		p.done(f)
		return nil
	}
	if p.drive.motor && p.turned && p.turns(f) {
		return told("the table turns once you confirm: keep fingers and cables clear")
	}
	return nil
}

// recall says what hands must do where looks or trims changed the present
// scene. The table only stands where it must not turn now.
func (p *Player) recall(f int64) {
	if p.scene == nil {
		return
	}
	p.hands = p.handsFor(p.scene)
	if len(p.hands) == 0 {
		p.done(f)
		return
	}
	p.turn = p.turn.stopped(f)
}

// handsFor is what hands must do for a scene, as the set stands.
func (p *Player) handsFor(to *cue.Resolved) []string {
	hands := p.shoot.Hands(p.stand, to)
	if p.drive.motor && to.HasAngle && !p.turned {
		hands = append(hands, fmt.Sprintf(
			"motor table: put the bow toward the camera (0°); once you confirm, the table turns to %g°: keep fingers and cables clear",
			to.Azimuth))
	}
	return hands
}

// done takes the set to be as the present cue wants it.
func (p *Player) done(f int64) {
	set := *p.scene
	if p.stand != nil && !set.HasAngle {
		set.Angle, set.Azimuth, set.HasAngle = p.stand.Angle, p.stand.Azimuth, p.stand.HasAngle
	}
	p.stand = &set
	p.turned = p.turned || set.HasAngle
	p.hands = nil
	p.move(f)
}

// move starts a motor table toward the present cue's azimuth. It stands in the
// dark, before the operator has confirmed where it stands, and while hands are
// needed.
func (p *Player) move(f int64) {
	to := p.scene
	if to == nil || !p.drive.motor || !p.turned || !to.HasAngle || p.layers.Dark || p.parked || len(p.hands) > 0 {
		return
	}
	if around360(to.Azimuth) != p.turn.to || !p.turn.pushed { // else it stands there, or is on its way
		p.turn = p.turn.turned(to.Azimuth, f, &p.drive)
	}
}

// turns says whether the present cue wants a motor table elsewhere.
func (p *Player) turns(f int64) bool {
	to := p.scene
	return to.HasAngle && cue.Turn(p.turn.azimuth(f), to.Azimuth) != 0
}

// azimuth is how the table stands when hands turn it: as last confirmed.
func (p *Player) azimuth() float64 {
	if p.stand == nil || !p.stand.HasAngle {
		return 0
	}
	return around360(p.stand.Azimuth)
}

// lit says whether a source set by hand is lit, as last confirmed.
func (p *Player) lit(i int) bool {
	return p.stand != nil && p.stand.Light[i].Asked.Y > 0
}

// litByHand tells of the lights that no command puts out.
func (p *Player) litByHand() []Notice {
	var notices []Notice
	for i := range p.shoot.Rig.Sources {
		if s := &p.shoot.Rig.Sources[i]; s.Hand && p.lit(i) {
			notices = append(notices, told("%q is set by hand: it stays lit until you switch it off", s.Name)...)
		}
	}
	return notices
}
