package dial

import "testing"

func TestPictures(t *testing.T) {
	shoot := kittiwake(t)
	all := moments(t)
	for name, opt := range map[string]Options{
		"settled":      {},
		"hands":        {},
		"fading":       {},
		"dusk":         {Theme: Ink},
		"before":       {Theme: Amber},
		"dark":         {},
		"hands-boat":   {Frame: Boat, Theme: Ink},
		"hands-phone":  {Width: 390},
		"settled-plan": {Part: Plan, Width: 600},
	} {
		which := name
		for _, end := range []string{"-boat", "-phone", "-plan"} {
			which = trimSuffix(which, end)
		}
		golden(t, name+".svg", draw(t, shoot, all[which], opt))
	}
}

func trimSuffix(s, end string) string {
	if len(s) > len(end) && s[len(s)-len(end):] == end {
		return s[:len(s)-len(end)]
	}
	return s
}
