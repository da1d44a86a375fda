package calc

import "limn/cue/flash"

var flashes = []*Formula{
	{
		Name: "saf-flash", Title: "Does it flash too often", Law: "changes of 10 % with the darker below 0.80; two opposing ones are a flash; more than 3 in any second are too many",
		Source: "W3C WCAG 2.2; ITU-R BT.1702", Valid: "red has a rule of its own; that it passes does not make light safe",
		In: []Field{num("times", "s", "from which each level stands, rising").of(List), num("levels", "", "relative luminance, 0 to 1").of(List)},
		Out: []Field{
			num("transitions", "", "changes that count"), num("worst_in_1s", "", "most of them in any second"), num("flashes", "", "in that second"),
			num("pass", "", "not too many").of(Truth),
		},
		run: func(v *values) {
			times, levels := v.list("times"), v.list("levels")
			if len(times) != len(levels) {
				v.refuse("levels", "give one level for each time", "%d times have %d levels", len(times), len(levels))
				return
			}
			for i := 1; i < len(times); i++ {
				if times[i] < times[i-1] {
					v.refuse("times", "give them in their order", "time %d comes before the one before it", i+1)
					return
				}
			}
			s := flash.Count(times, levels)
			v.put("transitions", float64(s.Changes))
			v.put("worst_in_1s", float64(s.Worst))
			v.put("flashes", float64(s.Flashes))
			v.put("pass", s.Pass)
		},
	},
}
