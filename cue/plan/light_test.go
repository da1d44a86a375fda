package plan

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"limn/fixtures/photometry"
)

// A rectangle by its lumens: what a diffuser of that luminance gives on its axis.
func TestRectangleOfLumens(t *testing.T) {
	v := checkOf(t, "pho-rect-1") // 5000 cd/m², 0.40 by 0.25 m at 0.30 m
	w, h, d, l := v.Inputs["W"], v.Inputs["H"], v.Inputs["d"], v.Inputs["L"]
	lumens := l * math.Pi * w * h / photometry.Transmission(1.5)
	s := shootOf(t, fmt.Sprintf(`
[subject]
name = "Tern"
[[source]]
name = "sky"
role = "key"
drive = "hand"
lumens = "%.9f lm"
diffusion = "full"
width = "%g m"
height = "%g m"
place = { azimuth = 0, elevation = 90, distance = "%g m" }
`, lumens, w, h, d), "[[cue]]\nname = \"bow\"\n[cue.light]\nsky = \"100 %\"\n")
	c := expose(t, s, Options{}).Cues[0]
	v.holds(t, "lux", c.Light.Sources[0].Lux.Value)
	near(t, "luminance", c.Light.Sources[0].Luminance.Value, l, 1e-8)
}

// A spot bounced off a card: the whole chain, from files.
func TestEdgeStrokeOffACard(t *testing.T) {
	v := checkOf(t, "pho-chain-1") // 900 cd, 0.5 m, card 0.20 by 0.05 m, 0.18 m
	s := shootOf(t, fmt.Sprintf(`
[subject]
name = "Tern"
[[source]]
name = "torch"
role = "key"
drive = "hand"
candela = "%g cd"
bounce = "bow white"
place = { azimuth = 180, elevation = 0, distance = "%g m" }
[[card]]
name = "bow white"
kind = "white"
reflectance = "%g %%"
width = "%g m"
height = "%g m"
`, v.Inputs["I"], v.Inputs["d1"]-v.Inputs["d2"], 100*v.Inputs["rho"], v.Inputs["W"], v.Inputs["H"]),
		fmt.Sprintf("[[cue]]\nname = \"bow\"\n[cue.light]\ntorch = \"100 %%\"\n[cue.card.\"bow white\"]\nplace = { azimuth = 0, distance = \"%g m\" }\n", v.Inputs["d2"]))
	c := expose(t, s, Options{}).Cues[0]
	v.holds(t, "subject_lux", c.Light.Sources[0].Lux.Value)
	v.holds(t, "card_cd_m2", c.Light.Sources[0].Luminance.Value)
	if len(c.Light.Cards) != 1 || c.Light.Cards[0].Gives.Value != 0 {
		t.Errorf("the card's light is counted twice: %+v", c.Light.Cards)
	}
}

// A meter reading is believed, whatever the lumens would come to; and it is carried
// where a cue moves the source.
func TestMeasuredBeatsComputed(t *testing.T) {
	const rig = `
[subject]
name = "Tern"
[[source]]
name = "sky"
role = "key"
drive = "hand"
full = "1000 lx"
lumens = "9000 lm"
width = "0.02 m"
height = "0.02 m"
place = { azimuth = 0, elevation = 0, distance = "1 m" }
`
	s := shootOf(t, rig, "[[cue]]\nname = \"bow\"\n[cue.light]\nsky = \"50 %\"\n[[cue]]\nname = \"near\"\nfrom = \"bow\"\n[cue.place.sky]\nazimuth = 0\ndistance = \"0.5 m\"\n")
	r := expose(t, s, Options{})
	near(t, "lux", r.Cues[0].Light.Sources[0].Lux.Value, 500, 1e-9)
	// So small a face falls off as a point does.
	near(t, "lux at half the distance", r.Cues[1].Light.Sources[0].Lux.Value, 2000, 1e-3)
	if law := r.Cues[1].Light.Sources[0].Lux.Why.Law; law != lawCarried.text {
		t.Errorf("it is explained as %q", law)
	}
}

// Every lux of Kittiwake is that of the domain, which the levels are told in.
func TestLuxAgreesWithTheDomain(t *testing.T) {
	s := kittiwake(t)
	for _, c := range expose(t, s, Options{}).Cues {
		for i := range c.Light.Sources {
			if src := &c.Light.Sources[i]; src.Lit {
				near(t, c.Name+" "+src.Name, src.Lux.Value, s.Resolved[c.Cue].Light[i].Lux, 1e-9)
			}
		}
	}
}

// Light adds: with one source at a time, the parts come to the whole.
func TestLightAdds(t *testing.T) {
	s := kittiwake(t)
	c := expose(t, s, Options{Cues: []string{"bow"}}).Cues[0]
	sum := 0.0
	for i := range c.Light.Sources {
		alone := *s
		alone.Resolved = append(alone.Resolved[:0:0], s.Resolved...)
		res := s.Resolved[c.Cue]
		res.Light = append(res.Light[:0:0], res.Light...)
		for j := range res.Light {
			if j != i {
				res.Light[j].Asked.X, res.Light[j].Asked.Y, res.Light[j].Asked.Z = 0, 0, 0
			}
		}
		alone.Resolved[c.Cue] = res
		one := expose(t, &alone, Options{Cues: []string{"bow"}}).Cues[0]
		if one.Light.Camera.Known() {
			sum += one.Light.Camera.Value
		}
	}
	near(t, "the sum", sum, c.Light.Camera.Value, 1e-9)
}

// A set that is k times larger, with the same luminances, gives the same lux, on
// every plane and off every card: the law that a model stands for the full size.
func TestScaleKeepsLux(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(0.5, 15).Draw(t, "k")
		az, el := rapid.Float64Range(-180, 180).Draw(t, "azimuth"), rapid.Float64Range(-30, 90).Draw(t, "elevation")
		w, h, d := rapid.Float64Range(0.05, 0.6).Draw(t, "w"), rapid.Float64Range(0.05, 0.6).Draw(t, "h"), rapid.Float64Range(0.3, 1.2).Draw(t, "d")
		card := rapid.Float64Range(-180, 180).Draw(t, "card")
		at := func(k float64) *Light {
			s := shootOf(t, fmt.Sprintf(`
[subject]
name = "Tern"
[camera]
elevation = 10
[[source]]
name = "sky"
role = "key"
drive = "hand"
lumens = "%.6f lm"
width = "%.9f m"
height = "%.9f m"
place = { azimuth = %.6f, elevation = %.6f, distance = "%.9f m" }
[[card]]
name = "white"
kind = "white"
width = "%.9f m"
height = "%.9f m"
`, 1000*k*k, k*w, k*h, az, el, k*d, k*0.2, k*0.1),
				fmt.Sprintf("[[cue]]\nname = \"bow\"\n[cue.light]\nsky = \"100 %%\"\n[cue.card.white]\nplace = { azimuth = %.6f, distance = \"%.9f m\" }\n", card, k*0.25))
			return &expose(t, s, Options{}).Cues[0].Light
		}
		one, big := at(1), at(k)
		for _, p := range [][2]float64{
			{one.Sources[0].Lux.Value, big.Sources[0].Lux.Value}, {one.Sources[0].ToCamera.Value, big.Sources[0].ToCamera.Value}, {one.Cards[0].Gives.Value, big.Cards[0].Gives.Value},
		} {
			if !(math.Abs(p[0]-p[1]) <= 1e-4*math.Abs(p[0])+1e-6) {
				t.Fatalf("%g lx at 1, %g lx at %g times", p[0], p[1], k)
			}
		}
	})
}

// A black card takes of the room what its form factor says, and gives back what
// falls on it.
func TestNegativeFill(t *testing.T) {
	const rig = `
[subject]
name = "Tern"
[room]
ambient = "400 lx"
[[source]]
name = "sky"
role = "key"
drive = "hand"
full = "1000 lx"
place = { azimuth = 0, elevation = 0, distance = "1 m" }
[[card]]
name = "black"
kind = "black"
width = "0.4 m"
height = "0.4 m"
`
	s := shootOf(t, rig, "[[cue]]\nname = \"bow\"\n[cue.light]\nsky = \"1 %\"\n[cue.card.black]\nplace = { azimuth = 0, distance = \"0.3 m\" }\n")
	c := expose(t, s, Options{}).Cues[0]
	f := photometry.FormFactor(0.4, 0.4, 0.3)
	near(t, "taken", c.Light.Cards[0].Takes.Value, 400*f, 1e-9)
	gives := photometry.BlackCard * 400 / math.Pi * math.Pi * f
	near(t, "given back", c.Light.Cards[0].Gives.Value, gives, 1e-9) // the source stands behind the card
	near(t, "left", c.Light.Camera.Value, 400*(1-f)+gives, 1e-9)

	without := shootOf(t, rig[:len("\n[subject]\nname = \"Tern\"\n")]+rig[len("\n[subject]\nname = \"Tern\"\n[room]\nambient = \"400 lx\"\n"):], "[[cue]]\nname = \"bow\"\n[cue.light]\nsky = \"1 %\"\n[cue.card.black]\nplace = { azimuth = 0, distance = \"0.3 m\" }\n")
	if got := expose(t, without, Options{}).Cues[0].Light.Cards[0].Takes.Missing; got == "" {
		t.Error("without ambient, what the card takes should name it")
	}
}

// What a card hides of a source is a share of its face: half a face behind the
// edge of a card is half hidden.
func TestShadowOfACard(t *testing.T) {
	s := shootOf(t, `
[subject]
name = "Tern"
[[source]]
name = "sky"
role = "key"
drive = "hand"
full = "1000 lx"
width = "0.4 m"
height = "0.4 m"
place = { azimuth = 0, elevation = 0, distance = "1 m" }
[[card]]
name = "black"
kind = "black"
width = "2 m"
height = "0.2 m"
`, "[[cue]]\nname = \"bow\"\n[cue.light]\nsky = \"100 %\"\n[cue.card.black]\nplace = { azimuth = 0, elevation = -11.30993247, distance = \"0.509902 m\" }\n")
	// The card's middle is 0.1 m below the line to the source at 0.5 m, and it
	// leans: its upper edge comes to within 2 mm of that line.
	c := expose(t, s, Options{}).Cues[0]
	if got := c.Light.Sources[0].Hidden; math.Abs(got-0.5) > 0.02 {
		t.Errorf("%g of it is hidden, want half", got)
	}
}

// Both conventions of the lighting ratio, by their check value.
func TestRatios(t *testing.T) {
	v := checkOf(t, "exp-keyfill-1") // key 800 lx, fill 200 lx
	s := shootOf(t, `
[subject]
name = "Tern"
[[source]]
name = "sky"
role = "key"
drive = "hand"
full = "800 lx"
[[source]]
name = "fill"
role = "fill"
drive = "hand"
full = "400 lx"
`, "[[cue]]\nname = \"bow\"\n[cue.light]\nsky = \"100 %\"\nfill = \"50 %\"\n")
	r := expose(t, s, Options{}).Cues[0].Light.Ratio
	v.holds(t, "keyplusfill_to_fill", r[0].Value)
	v.holds(t, "key_to_fill", r[1].Value)
	v.holds(t, "stops_k", r[2].Value)
}

// A small light nearer than five times its size is told to be outside of its law;
// farther away it is not.
func TestOutsideOfTheFiveTimesRule(t *testing.T) {
	for d, outside := range map[string]bool{"0.4 m": true, "1.1 m": false} {
		s := shootOf(t, fmt.Sprintf(`
[subject]
name = "Tern"
[[source]]
name = "spot"
role = "key"
drive = "hand"
candela = "1200 cd"
beam = 30
width = "0.2 m"
height = "0.2 m"
place = { azimuth = 0, elevation = 30, distance = "%s" }
`, d), "[[cue]]\nname = \"bow\"\n[cue.light]\nspot = \"100 %\"\n")
		f := expose(t, s, Options{}).Cues[0].Light.Sources[0].Lux
		if (f.Why.Outside != "") != outside {
			t.Errorf("at %s: %q", d, f.Why.Outside)
		}
	}
}

// The inverse square and the cosine, by their check value: a lamp of 1200 cd at
// 0.75 m, seen by a plane turned 30° away.
func TestPointByItsCheckValue(t *testing.T) {
	v := checkOf(t, "pho-point-1")
	s := shootOf(t, fmt.Sprintf(`
[subject]
name = "Tern"
[camera]
elevation = %g
[[source]]
name = "spot"
role = "key"
drive = "hand"
at-1m = "%g lx"
place = { azimuth = 0, elevation = 0, distance = "%g m" }
`, v.Inputs["theta_deg"], v.Inputs["I"], v.Inputs["d"]), "[[cue]]\nname = \"bow\"\n[cue.light]\nspot = \"100 %\"\n")
	v.holds(t, "lux", expose(t, s, Options{}).Cues[0].Light.Camera.Value)
}

// A source whose profile tells lumens needs no reading; two units give twice.
func TestProfileLumens(t *testing.T) {
	const rig = `
[subject]
name = "Tern"
[[source]]
name = "sky"
role = "key"
profile = "bicolour-panel-16bit"
universe = 1
address = %s
diffusion = "full"
width = "0.6 m"
height = "0.4 m"
place = { azimuth = 0, elevation = 90, distance = "0.55 m" }
`
	const cues = "[[cue]]\nname = \"bow\"\n[cue.light]\nsky = \"100 %\"\n"
	one := expose(t, shootOf(t, fmt.Sprintf(rig, "1"), cues), Options{}).Cues[0].Light.Sources[0].Lux.Value
	two := expose(t, shootOf(t, fmt.Sprintf(rig, "[1, 11]"), cues), Options{}).Cues[0].Light.Sources[0].Lux.Value
	near(t, "two units", two, 2*one, 1e-9)
	// 7200 lm behind full diffusion, at the share of them that 5600 K takes, from 0.6 by 0.4 m.
	src := expose(t, shootOf(t, fmt.Sprintf(rig, "1"), cues), Options{}).Cues[0].Light.Sources[0]
	near(t, "lux", one, photometry.Rectangle(photometry.Diffuser(7200*src.y, math.Exp2(-1.5), 0.24), 0.6, 0.4, 0.55), 1e-9)
}
