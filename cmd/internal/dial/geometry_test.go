package dial

import (
	"math"
	"testing"

	"limn/cue"
	"limn/fixtures/space"

	"pgregory.net/rapid"
)

func near(a, b point) bool { return a.sub(b).len() < 1e-6 }

// The four sides of the room on the picture: the camera below, its right to the
// right. The bow follows the table, counter-clockwise from the camera.
func TestWhereThingsStand(t *testing.T) {
	v := &view{shoot: kittiwake(t), snap: &cue.Snapshot{}}
	h := hullOf(&v.shoot.Subject)
	p := newProjection(v, &h, point{100, 100}, 80, Camera)
	for azimuth, want := range map[float64]point{0: {100, 180}, 90: {180, 100}, 180: {100, 20}, 270: {20, 100}, -90: {20, 100}} {
		if got := p.on(azimuth, 80); !near(got, want) {
			t.Errorf("azimuth %v stands at %v, not %v", azimuth, got, want)
		}
	}
	half := h.length / 2 * p.scale
	for azimuth, want := range map[float64]point{0: {0, half}, 90: {half, 0}, 180: {0, -half}} {
		out := p.outline(h.outline, azimuth)
		bow := out[0].toward(out[len(out)-1], 0.5).sub(p.centre) // a stem may be broad
		if !near(bow, want) {
			t.Errorf("with the table at %v the bow is at %v, not %v", azimuth, bow, want)
		}
	}
	// With the bow toward the camera, her port side is to camera right.
	port := p.outline(h.outline, 0)[outlineSteps/2]
	if !(port.x > p.centre.x+5) {
		t.Errorf("the first side round from the bow is at %v", port)
	}
}

// The mark of an angle comes to the camera's pointer when the table stands there,
// and turns with the table: it keeps its place on the hull.
func TestMarksTurnWithTheTable(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		azimuth := rapid.Float64Range(-360, 360).Draw(r, "angle")
		table := rapid.Float64Range(-360, 360).Draw(r, "table")
		if at := markOf(azimuth, azimuth); math.Abs(at) > 1e-9 {
			r.Errorf("the mark of %v stands at %v when the table is there", azimuth, at)
		}
		onHull := func(table float64) float64 { return markOf(table, azimuth) - table }
		if d := cue.Turn(onHull(table), onHull(0)); math.Abs(d) > 1e-6 {
			r.Errorf("the mark of %v moves by %v on the hull", azimuth, d)
		}
	})
}

// Boat-fixed, the bow points up at every azimuth, and everything else keeps its
// place about it.
func TestBoatFixed(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		v := &view{shoot: &cue.Shoot{}, azimuth: rapid.Float64Range(-360, 360).Draw(r, "table")}
		h := hullOf(&v.shoot.Subject)
		room := newProjection(v, &h, point{}, 100, Camera)
		boat := newProjection(v, &h, point{}, 100, Boat)
		bow := boat.outline(h.outline, v.azimuth)[0]
		if math.Abs(bow.x) > 1e-6 || bow.y >= 0 {
			r.Errorf("the bow is at %v", bow)
		}
		lamp := space.At(rapid.Float64Range(0, 360).Draw(r, "lamp"), 20, 0.7)
		a := room.at(lamp).sub(room.outline(h.outline, v.azimuth)[0]).len()
		b := boat.at(lamp).sub(bow).len()
		if math.Abs(a-b) > 1e-6 {
			r.Errorf("the lamp is %v from the bow, and %v when the boat is fixed", a, b)
		}
	})
}

// Things are to scale: a panel of 0.10 m is as wide on the picture as 0.10 m of
// hull, and as far away as it was told.
func TestToScale(t *testing.T) {
	v := newView(kittiwake(t), &cue.Snapshot{Cue: 0})
	h := hullOf(&v.shoot.Subject)
	p := newProjection(v, &h, point{}, 300, Camera)
	for i := range v.lamps {
		l := &v.lamps[i]
		s := p.see(&l.stand, v.azimuth)
		if s.far {
			if d := s.middle.len(); math.Abs(d-300) > 1e-6 {
				t.Errorf("%s lies beyond the ring and is drawn at %v", l.name, d)
			}
			continue
		}
		if want := l.stand.across() * p.scale; math.Abs(s.middle.len()-want) > 1e-6 {
			t.Errorf("%s is drawn at %v, not %v", l.name, s.middle.len(), want)
		}
		if want := l.stand.width * p.scale; math.Abs(s.face[0].sub(s.face[1]).len()-want) > 1e-6 {
			t.Errorf("%s is drawn %v wide, not %v", l.name, s.face[0].sub(s.face[1]).len(), want)
		}
	}
}

// A rider keeps its place on the hull, everything else its place in the room.
func TestRidersTurnWithTheTable(t *testing.T) {
	shoot := kittiwake(t)
	for i := range shoot.Rig.Sources {
		src := &shoot.Rig.Sources[i]
		s := stand{place: src.Place, width: 0.1, height: 0.1}
		p := projection{scale: 100, radius: 200}
		a, b := p.see(&s, 0).middle, p.see(&s, 90).middle
		moved := !near(a, b)
		if moved != src.Place.Rides {
			t.Errorf("%s rides: %v, and moves: %v", src.Name, src.Place.Rides, moved)
		}
		if src.Place.Rides && !near(b, point{a.y, -a.x}) {
			t.Errorf("%s goes from %v to %v in a quarter turn", src.Name, a, b)
		}
	}
}

// A hull lies within its own length and width, and is alike on both sides.
func TestOutlines(t *testing.T) {
	for _, kind := range append(cue.FormKinds(), "") {
		s := kittiwake(t).Subject
		s.Form.Kind = kind
		if kind == cue.FormHull {
			s.Form.Sections = []cue.Section{{At: 0, Points: [][2]float64{{0, 1}}}, {At: 0.6, Points: [][2]float64{{0, 0}, {1, 1}}}, {At: 1, Points: [][2]float64{{0.8, 1}}}}
		}
		h := hullOf(&s)
		wide := 0.0
		for i, q := range h.outline {
			twin := h.outline[len(h.outline)-1-i]
			if q.X != -twin.X || q.Y != twin.Y {
				t.Errorf("%q: %v has the twin %v", kind, q, twin)
			}
			if math.Abs(q.X) > h.width/2+1e-9 || math.Abs(q.Y) > h.length/2+1e-9 {
				t.Errorf("%q: %v lies outside of %v by %v", kind, q, h.length, h.width)
			}
			wide = max(wide, q.X)
		}
		if wide < h.width/2*0.95 {
			t.Errorf("%q is %v wide, not %v", kind, 2*wide, h.width)
		}
	}
}

// Labels keep clear of one another.
func TestLabelsDoNotLieOnOneAnother(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		d := &planner{canvas: &canvas{pal: palettes[Dark]}, p: projection{centre: point{300, 300}, radius: 220}, box: box{0, 0, 600, 600}, size: widePlan}
		var list []label
		for range rapid.IntRange(0, 40).Draw(r, "labels") {
			list = append(list, label{name: "n", anchor: point{400, rapid.Float64Range(80, 520).Draw(r, "y")}})
		}
		list = d.column(list)
		for i := 1; i < len(list); i++ {
			if gap := list[i].y - list[i-1].y; gap < d.size.label*2 {
				r.Errorf("labels %d and %d stand %v apart", i-1, i, gap)
			}
		}
	})
}
