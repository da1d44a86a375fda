package plan

import (
	"context"
	"errors"
	"math"
	"testing"

	"limn/cue"
	"limn/fixtures/reflect"
	"limn/fixtures/space"
)

// Every cue of Kittiwake is a scene that can be drawn; her hull is closed and as
// large as she is.
func TestKittiwakeCanBeSeen(t *testing.T) {
	s := kittiwake(t)
	form, err := FormOf(&s.Subject, nil)
	if err != nil {
		t.Fatal(err)
	}
	mesh, ok := form.(*reflect.Mesh)
	if !ok || mesh.OpenEdges() != 0 || len(mesh.Notes()) > 0 {
		t.Errorf("the hull: %T %v", form, mesh.Notes())
	}
	low, high := form.Bounds()
	if size := high.Sub(low); math.Abs(size.Y-0.62) > 1e-3 || math.Abs(size.X-0.21) > 0.01 || size.Z > 0.19 {
		t.Errorf("the hull measures %v", size)
	}
	for i := range s.Resolved {
		scene, grey, notes, err := SceneOf(s, &s.Resolved[i], form)
		if err != nil {
			t.Fatal(err)
		}
		if err := scene.Check(); err != nil {
			t.Errorf("%s: %v", s.Resolved[i].Name, err)
		}
		if !(grey > 0) {
			t.Errorf("%s: grey %g", s.Resolved[i].Name, grey)
		}
		for _, n := range notes {
			if n != `torch is left out: needs the size of torch, as width = "0.3 m" and height = "0.2 m"` {
				t.Errorf("%s: %s", s.Resolved[i].Name, n)
			}
		}
	}
	scene, _, _, err := SceneOf(s, &s.Resolved[0], form)
	if err != nil {
		t.Fatal(err)
	}
	picture, err := reflect.Picture(t.Context(), scene, reflect.Size{Width: 48, Height: 32}, reflect.Effort{})
	if err != nil {
		t.Fatal(err)
	}
	if l := picture.At(24, 16); !(l > 0) {
		t.Errorf("the middle of the boat has %g cd/m²", l)
	}
}

// The light of a scene is that of the report: a small, matt, grey ball in the
// middle is as bright toward the camera as the plane that faces it.
func TestSceneAgreesWithTheLight(t *testing.T) {
	s := edited(t, `gloss       = "gloss"`, `gloss = "matt"`, `reflectance = "#5a2c16"`, `reflectance = "20 %"`)
	c := expose(t, s, Options{Cues: []string{"stern"}}).Cues[0]
	scene, _, _, err := SceneOf(s, &s.Resolved[c.Cue], reflect.Sphere{Radius: 1e-3})
	if err != nil {
		t.Fatal(err)
	}
	scene.Camera.LooksAt = space.Vec{}
	scene.Camera.Focal, scene.Camera.FNumber = 0.6, 0 // to see the ball large
	picture, err := reflect.Picture(context.Background(), scene, reflect.Size{Width: 201, Height: 133}, reflect.Effort{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	direct := 0.0
	for i := range c.Light.Sources {
		if src := &c.Light.Sources[i]; src.Lit {
			direct += src.ToCamera.Value
		}
	}
	for i := range c.Light.Cards {
		direct += c.Light.Cards[i].Gives.Value
	}
	// The middle of the ball faces the camera; half a per cent is the pixel's own width on it.
	near(t, "cd/m² of the ball", picture.At(100, 66), 0.2*direct/math.Pi, 0.005)
}

func TestSceneNamesWhatIsMissing(t *testing.T) {
	s := edited(t, `distance = "0.9 m" `, "# ")
	form, err := FormOf(&s.Subject, nil)
	if err != nil {
		t.Fatal(err)
	}
	var missing *MissingError
	if _, _, _, err := SceneOf(s, &s.Resolved[0], form); !errors.As(err, &missing) || missing.Missing != needDistance {
		t.Errorf("%v", err)
	}
	for _, kind := range cue.FormKinds() {
		if _, err := FormOf(&cue.Subject{Form: cue.Form{Kind: kind}}, nil); !errors.As(err, &missing) {
			t.Errorf("%s without a size: %v", kind, err)
		}
	}
}
