package plan

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"limn/cue"
	"limn/fixtures/reflect"

	"pgregory.net/rapid"
)

func mirror(t *testing.T, s *cue.Shoot, opt MirrorOptions) *Mirror {
	t.Helper()
	m, err := NewMirror(t.Context(), s, opt)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// What the report says of Kittiwake's bow, held against the law of reflection: at the
// middle of an image the normal halves the angle between camera and source.
func TestMirrorOfTheBow(t *testing.T) {
	s := kittiwake(t)
	m := mirror(t, s, MirrorOptions{Cues: []string{"bow"}})
	c := &m.Cues[0]
	if c.Missing != "" || len(c.Images) == 0 {
		t.Fatalf("%q, %d images", c.Missing, len(c.Images))
	}
	images, err := reflect.Images(t.Context(), c.scene, reflect.Effort{})
	if err != nil {
		t.Fatal(err)
	}
	camera := c.scene.Camera.Place.Turn(-c.scene.Azimuth)
	for i := range images {
		im := &images[i]
		if im.Card {
			continue
		}
		face := c.scene.Lights[im.Own].Face
		if !c.scene.Lights[im.Own].Rides {
			face = face.Turn(-c.scene.Azimuth)
		}
		way := reflect.Mirror(camera.Sub(im.At).Unit(), im.Normal)
		if _, _, _, ok := face.Hit(im.At, way); !ok {
			t.Errorf("%s at %s: the ray from there misses it", im.Name, im.Where)
		}
		got := &c.Images[i]
		near(t, "mm long", got.Length.Value, 1000*im.Length, 1e-12)
		want := s.Camera.Headroom.Stops - math.Log2(im.Luminance/c.grey)
		near(t, "stops left", got.Left.Value, want, 1e-12)
		if clips := strings.Contains(got.Say, "clips by"); clips != (want < 0) {
			t.Errorf("%q with %g stops left", got.Say, want)
		}
		if !strings.Contains(got.Say, got.Where) || !strings.Contains(got.Say, "mm") {
			t.Errorf("%q", got.Say)
		}
	}
	for _, name := range append(append([]string{}, c.Unseen...), "horizon") {
		if seen := name == "horizon"; seen == contains(c.Unseen, name) {
			t.Errorf("%s: seen %v", name, seen)
		}
	}
	if c.Images[0].Over.Why.Law == "" || c.Images[0].From.Why.Source == "" {
		t.Error("figures without a why")
	}
}

func contains(all []string, one string) bool {
	for _, a := range all {
		if a == one {
			return true
		}
	}
	return false
}

// A card before the boat is told of with the share it hides: counted here along the
// lines from each point of a fine picture, with and without it.
func TestWhatStandsInThePicture(t *testing.T) {
	s := kittiwake(t)
	form, err := FormOf(&s.Subject, nil)
	if err != nil {
		t.Fatal(err)
	}
	scene, _, _, err := SceneOf(s, &s.Resolved[s.CueIndex("beam")], form)
	if err != nil {
		t.Fatal(err)
	}
	var card *InView
	views := inView(scene)
	for i := range views {
		if views[i].Name == "keel black" {
			card = &views[i]
		}
	}
	if card == nil {
		t.Fatalf("the card before the boat is not told of: %v", views)
	}
	size := reflect.Size{Width: 240, Height: 160}
	draw := func(cards []reflect.Card) *reflect.Linear {
		sc := *scene
		sc.Cards, sc.Lights = cards, nil
		sc.Background = scene.Lights[0].Luminance
		sc.Surface = reflect.Surface{Index: 1} // a black boat before a bright room
		sc.Camera.FNumber = 0
		l, err := reflect.Picture(t.Context(), &sc, size, reflect.Effort{})
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	var white []reflect.Card
	for _, k := range scene.Cards {
		k.Reflectance = 0.9 // to be told from the boat
		white = append(white, k)
	}
	bare, with := draw(nil), draw(white)
	boat, hidden := 0, 0
	for y := range size.Height {
		for x := range size.Width {
			if bare.At(x, y) < 1e-3*bare.At(0, 0) {
				boat++
				if with.At(x, y) > 1e-3*bare.At(0, 0) {
					hidden++
				}
			}
		}
	}
	if want := 100 * float64(hidden) / float64(boat); math.Abs(card.Hides.Value-want) > 1.5 {
		t.Errorf("hides %g %%, by pictures %g %%", card.Hides.Value, want)
	}
	if !strings.HasPrefix(card.Say, "card keel black stands before the subject and hides ") {
		t.Errorf("%q", card.Say)
	}
}

// A card that stands where the reverse says is mirrored all along the line.
func TestLineAndBack(t *testing.T) {
	s := kittiwake(t)
	stroke, err := ParseLine("starboard 60 % 30 % to 55 %")
	if err != nil {
		t.Fatal(err)
	}
	m := mirror(t, s, MirrorOptions{Cues: []string{"bow"}, Bare: true, Lines: []Line{{Text: "x", Stroke: stroke, Distance: 0.6}}})
	c := &m.Cues[0]
	place := &c.Lines[0]
	if place.Missing != "" {
		t.Fatal(place.Missing)
	}
	if len(c.Images) > 0 || len(c.Dots) > 0 {
		t.Error("images nobody asked for")
	}
	p, err := reflect.PlaceFor(c.scene, stroke, 0.6)
	if err != nil {
		t.Fatal(err)
	}
	camera := c.scene.Camera.Place.Turn(-c.scene.Azimuth)
	face := p.Face.Turn(-c.scene.Azimuth)
	for i := range 26 {
		spot := stroke.From
		spot.Along += float64(i) / 25 * (stroke.To.Along - stroke.From.Along)
		h, ok := spot.On(c.scene.Form)
		if !ok {
			t.Fatalf("no hull at %g", spot.Along)
		}
		if _, _, _, hit := face.Hit(h.At, reflect.Mirror(camera.Sub(h.At).Unit(), h.Normal)); !hit {
			t.Errorf("at %g of the length the card is not mirrored", spot.Along)
		}
	}
	if want := fmt.Sprintf(`place = { azimuth = %.0f, elevation = %.0f, distance = "%.2f m" }`, p.Azimuth, p.Elevation, p.Distance); place.Place != want {
		t.Errorf("%q, want %q", place.Place, want)
	}
	hidden := mirror(t, s, MirrorOptions{Cues: []string{"bow"}, Bare: true, Lines: []Line{{Stroke: reflect.Stroke{From: reflect.Spot{Side: reflect.Port, Along: 0.3, Up: 0.5}, To: reflect.Spot{Side: reflect.Port, Along: 0.6, Up: 0.5}}, Distance: 0.6}}})
	if hidden.Cues[0].Lines[0].Missing == "" {
		t.Error("a line on the far side was given a place")
	}
}

func TestParseLine(t *testing.T) {
	spot := func(side reflect.Side, along, up float64) reflect.Spot {
		return reflect.Spot{Side: side, Along: along, Up: up}
	}
	for text, want := range map[string][2]reflect.Spot{
		"starboard upper edge 10 % to 60 %":   {spot(reflect.Starboard, 0.1, 0.97), spot(reflect.Starboard, 0.6, 0.97)},
		"Port 40% midships to 90%":            {spot(reflect.Port, 0.5, 0.4), spot(reflect.Port, 0.9, 0.4)},
		"port bow to stern":                   {spot(reflect.Port, 0.02, 0.97), spot(reflect.Port, 0.98, 0.97)},
		"top amidships, 20 to 80":             {spot(reflect.Top, 0.2, 0.5), spot(reflect.Top, 0.8, 0.5)},
		"top 20 to 80":                        {spot(reflect.Top, 0.2, 0.5), spot(reflect.Top, 0.8, 0.5)},
		"top 25 20 to 80":                     {spot(reflect.Top, 0.2, 0.25), spot(reflect.Top, 0.8, 0.25)},
		"starboard lower edge stern to 12.5%": {spot(reflect.Starboard, 0.98, 0.03), spot(reflect.Starboard, 0.125, 0.03)},
		"starboard half way up 0 % to 100 %":  {spot(reflect.Starboard, 0, 0.5), spot(reflect.Starboard, 1, 0.5)},
	} {
		got, err := ParseLine(text)
		if err != nil || got.From != want[0] || got.To != want[1] {
			t.Errorf("%q: %+v to %+v, %v", text, got.From, got.To, err)
		}
	}
	for text, want := range map[string]string{
		"":                             "a line begins with its side, found nothing",
		"larboard bow to stern":        `a line begins with its side, found "larboard"`,
		"starbord bow to stern":        `did you mean "starboard"?`,
		"port bow":                     `"to" comes after where the line begins`,
		"port bow to 120 %":            `where the line ends is "120"`,
		"port NaN to 20 %":             `where the line begins is "nan"`,
		"port bow to stern now":        `"now" is one word too many`,
		"port 20 % to 20 %":            "from a place to the same place",
		"port 140 % bow to stern":      `the height of the line is "140"`,
		"port upper edge bow to where": `where the line ends is "where"`,
	} {
		_, err := ParseLine(text)
		var bad *LineError
		if !errors.As(err, &bad) || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func FuzzParseLine(f *testing.F) {
	for _, s := range []string{"starboard upper edge 10 % to 60 %", "port bow to stern", "top 25 20 to 80", "port % % to %", "to to to"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseLine(text)
		if err != nil {
			return
		}
		for _, p := range []reflect.Spot{s.From, s.To} {
			if !(p.Along >= 0 && p.Along <= 1) || !(p.Up >= 0 && p.Up <= 1) {
				t.Errorf("%q: %+v", text, p)
			}
		}
	})
}

// Diodes of the horizon's strip: the figures are those of the formula, and each cure
// does cure.
func TestDotsOfTheHorizon(t *testing.T) {
	m := mirror(t, kittiwake(t), MirrorOptions{Cues: []string{"bow"}})
	var d *MirrorDots
	for i := range m.Cues[0].Dots {
		if k := &m.Cues[0].Dots[i]; k.Name == "horizon" {
			d = k
		} else if k.Missing != needPitch {
			t.Errorf("%s: %q", k.Name, k.Missing)
		}
	}
	if d == nil || !d.Show {
		t.Fatalf("%+v", d)
	}
	in := map[string]float64{}
	for _, i := range d.InPaint.Why.Inputs {
		in[i.Key] = i.Value
	}
	ask := reflect.Dots{Pitch: in["pitch"], Behind: in["behind"], Focal: in["f"], Number: in["N"], Source: in["source"], Camera: in["camera"]}
	if in["pitch"] != 25 || in["behind"] != 15 || in["f"] != 50 || in["N"] != 16 {
		t.Errorf("inputs %v", in)
	}
	ask.Behind = d.HideBehind.Value * 1.0001
	if v, err := ask.Verdict(); err != nil || v.Show {
		t.Errorf("%g mm behind the diffuser they still show: %v %v", ask.Behind, v.InPaint, err)
	}
	if !strings.Contains(d.Say, "show at f/16") || !strings.Contains(d.Say, d.HideBehind.Text) {
		t.Errorf("%q", d.Say)
	}
}

// What is missing is named, for every cue; the rest of the report comes.
func TestMirrorNamesWhatIsMissing(t *testing.T) {
	for _, c := range []struct {
		change []string
		want   string
	}{
		{[]string{`distance = "0.9 m" `, "# "}, needDistance},
		{[]string{`length = "0.62 m"`, "# "}, needLength},
		{[]string{`sensor   = "36x24 mm"`, ""}, needSensor},
		{[]string{`height   = "0.24 m"`, "", `distance = "0.9 m" `, `distance = "0.21 m" #`}, "camera"},
	} {
		s := edited(t, c.change...)
		m := mirror(t, s, MirrorOptions{Bare: true, Cues: []string{"bow", "bow at dusk"}}) // from before the bow the last is inside the hull
		if len(m.Cues) != 2 {
			t.Errorf("%v: %d cues", c.change, len(m.Cues))
		}
		for i := range m.Cues {
			if !strings.Contains(m.Cues[i].Missing, c.want) {
				t.Errorf("%v: %s: %q", c.change, m.Cues[i].Name, m.Cues[i].Missing)
			}
			if img, err := m.Cues[i].Picture(t.Context(), s, reflect.Size{Width: 6, Height: 4}, false, reflect.Effort{}); img != nil || err != nil {
				t.Errorf("a picture of nothing: %v %v", img, err)
			}
		}
	}
}

// A camera nobody set exposes by its own light, so that something can be seen.
func TestPictureWithoutSettings(t *testing.T) {
	s := edited(t, `shutter  = "1/10 s"`, "")
	m := mirror(t, s, MirrorOptions{Cues: []string{"stern"}, Bare: true})
	c := &m.Cues[0]
	if !c.MetersItself() {
		t.Error("it is taken for a camera that is set")
	}
	img, err := c.Picture(t.Context(), s, reflect.Size{Width: 96, Height: 64}, false, reflect.Effort{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for i := 0; i < len(img.Pix); i += 4 {
		if v := img.Pix[i]; v > 20 && v < 250 {
			seen++
		}
	}
	if seen < 96*64/20 {
		t.Errorf("%d pixels between black and white", seen)
	}
}

func TestMirrorRefusesUnknownCue(t *testing.T) {
	var unknown *UnknownCueError
	if _, err := NewMirror(t.Context(), kittiwake(t), MirrorOptions{Cues: []string{"brow"}}); !errors.As(err, &unknown) {
		t.Errorf("%v", err)
	}
}

// No two slates are the same, all of one angle share its letter, and none can be
// misheard for a figure.
func TestSlates(t *testing.T) {
	s := kittiwake(t)
	want := []string{"A", "A-dusk", "B", "C", "D", "E", "F-moonlight", "G"}
	for i, got := range Slates(s) {
		if got != want[i] {
			t.Errorf("%s is %q, want %q", s.Cues[i].Name, got, want[i])
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 700).Draw(t, "cues")
		s := &cue.Shoot{Cues: make([]cue.Cue, n), Resolved: make([]cue.Resolved, n)}
		for i := range n {
			s.Resolved[i] = cue.Resolved{HasAngle: rapid.Bool().Draw(t, "angle"), Azimuth: float64(rapid.IntRange(-720, 720).Draw(t, "azimuth")) / 2}
			s.Cues[i].Looks = rapid.SliceOfN(rapid.SampledFrom([]string{"dusk", "Dusk!", "2", "", "night"}), 0, 2).Draw(t, "looks")
		}
		seen := map[string]bool{}
		letters := map[float64]string{}
		for i, slate := range Slates(s) {
			letter, _, _ := strings.Cut(slate, "-")
			if seen[slate] || letter == "" || strings.ContainsAny(letter, "IO") {
				t.Fatalf("%q", slate)
			}
			seen[slate] = true
			at := math.Mod(s.Resolved[i].Azimuth+720, 360)
			if !s.Resolved[i].HasAngle {
				at = -1
			}
			if was, ok := letters[at]; ok && was != letter {
				t.Fatalf("the angle %g is %s and %s", at, was, letter)
			}
			letters[at] = letter
		}
	})
}
