package measure

import (
	"slices"

	"limn/fixtures"
)

// Merge lays new readings over an older calibration of the same light: what was read
// now counts, what was not stays. One reading of the whole light alone brings all its
// lux to it. Neither of the two is changed.
//
// Lux and lumens do not go together: where the two differ in that, or in the profile
// or the distance they were read with, what is old goes.
func Merge(old, now *fixtures.Calibration) *fixtures.Calibration {
	if old == nil || old.Profile != now.Profile {
		return now
	}
	c := *now
	c.Emitters = slices.Clone(now.Emitters)
	if old.Distance.Metres != now.Distance.Metres && (now.Full > 0 || inLux(now)) {
		return &c
	}
	factor := 1.0
	if sum := oldLux(old); now.Full > 0 && len(now.Emitters) == 0 && sum > 0 {
		factor = now.Full / sum
	}
	if len(c.Emitters) == 0 || inLux(old) == inLux(now) {
		for _, m := range old.Emitters {
			if slices.ContainsFunc(c.Emitters, func(n fixtures.Measured) bool { return n.Name == m.Name }) {
				continue
			}
			m.Lux *= factor
			c.Emitters = append(c.Emitters, m)
		}
	}
	for i := range c.Emitters {
		j := slices.IndexFunc(old.Emitters, func(m fixtures.Measured) bool { return m.Name == c.Emitters[i].Name })
		if j < 0 {
			continue
		}
		m, was := &c.Emitters[i], &old.Emitters[j]
		if m.Response == nil {
			m.Response, m.Floor = was.Response, was.Floor
		}
		if m.XY.Y == 0 {
			m.XY, m.Dimmed = was.XY, was.Dimmed
		} else if m.Dimmed == nil && m.XY == was.XY {
			m.Dimmed = was.Dimmed
		}
	}
	if c.Full == 0 && !inLux(now) && len(now.Emitters) == 0 {
		c.Full = old.Full
	}
	if c.Dimmer.Response == nil && c.Dimmer.Floor == 0 {
		c.Dimmer, c.Drift = old.Dimmer, old.Drift
	}
	if len(c.CCT.Table) == 0 {
		c.CCT = old.CCT
	}
	if len(c.WarmUp) == 0 {
		c.WarmUp = old.WarmUp
	}
	return &c
}

func inLux(c *fixtures.Calibration) bool {
	return slices.ContainsFunc(c.Emitters, func(m fixtures.Measured) bool { return m.Lux > 0 })
}

// oldLux is the lux that an older calibration has of the whole light.
func oldLux(c *fixtures.Calibration) float64 {
	if c.Full > 0 {
		return c.Full
	}
	sum := 0.0
	for i := range c.Emitters {
		sum += c.Emitters[i].Lux
	}
	return sum
}
