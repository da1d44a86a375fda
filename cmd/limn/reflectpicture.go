package main

import (
	"context"
	"image"

	"limn/cmd/internal/sheet"
	"limn/cue"
	"limn/cue/plan"
	"limn/fixtures/reflect"
)

// maxContact is how many pictures one contact sheet holds.
const maxContact = 100

// reflectPictures draws what was asked for and says where it went.
func reflectPictures(ctx context.Context, shoot *cue.Shoot, r *plan.Mirror, f *reflectFlags, size reflect.Size, effort reflect.Effort, std stdio) error {
	if f.picture != "" {
		c := &r.Cues[0]
		if c.Missing != "" {
			return failuref(statusFailed, "", "%s cannot be drawn: needs %s", c.Name, c.Missing)
		}
		img, err := c.Picture(ctx, shoot, size, f.even, effort)
		if err != nil {
			return ended(ctx)
		}
		if err := writePNG(f.picture, img); err != nil {
			return err
		}
		note(std.Err, "%s is drawn in %s, exposed %s", c.Name, f.picture, exposedHow(c, f.even))
	}
	if f.sheet == "" {
		return nil
	}
	if len(r.Cues) == 0 {
		return failuref(statusFailed, "write the first one into cues.toml", "there are no cues to draw")
	}
	frames, err := contactFrames(ctx, shoot, r, f.even, size, effort)
	if err != nil {
		return err
	}
	img, err := sheet.Contact(frames, size)
	if err != nil {
		return failuref(statusFailed, "", "the sheet cannot be laid out: %v", err)
	}
	if err := writePNG(f.sheet, img); err != nil {
		return err
	}
	if len(r.Cues) > maxContact {
		note(std.Err, "the sheet holds the first %d of %d cues; draw the rest with --cue", maxContact, len(r.Cues))
	}
	note(std.Err, "%s on %s", count(len(frames), "picture"), f.sheet)
	return nil
}

func exposedHow(c *plan.CueMirror, even bool) string {
	switch {
	case even:
		return "by its own light"
	case c.MetersItself():
		return "by its own light, for the camera's aperture, shutter and iso are not written"
	}
	return "as the camera is set"
}

// contactFrames draws every cue. Cues are drawn one after the other: each is drawn
// by all workers at once.
func contactFrames(ctx context.Context, shoot *cue.Shoot, r *plan.Mirror, even bool, size reflect.Size, effort reflect.Effort) ([]sheet.Frame, error) {
	slates := plan.Slates(shoot)
	var frames []sheet.Frame
	for i := range r.Cues {
		if i >= maxContact {
			break
		}
		c := &r.Cues[i]
		frame := sheet.Frame{Slate: slates[c.Cue] + "   " + c.Name, Why: c.Missing, Lines: contactLines(shoot, c, even)}
		if c.Missing == "" {
			img, err := c.Picture(ctx, shoot, size, even, effort)
			if err != nil {
				return nil, ended(ctx)
			}
			frame.Picture = img
		}
		frames = append(frames, frame)
	}
	return frames, nil
}

// contactLines is what stands below a picture: how the model and the camera stand,
// the light in short, and what hides the model.
func contactLines(shoot *cue.Shoot, c *plan.CueMirror, even bool) []string {
	where := "table " + turnText(c.Azimuth)
	if c.Angle != "" {
		where = c.Angle + ", " + where
	}
	if how := plan.CameraSettings(shoot, &shoot.Resolved[c.Cue]); how != "" {
		where += ", " + how
	}
	if even || c.MetersItself() {
		where += ", exposed by its own light"
	}
	lines := []string{where, plan.LightInShort(shoot, &shoot.Resolved[c.Cue])}
	for i := range c.View {
		if v := &c.View[i]; v.Hides.Value > 0 {
			lines = append(lines, v.Say)
		}
	}
	return lines
}

func writePNG(name string, img image.Image) error {
	data, err := encodePNG(img)
	if err != nil {
		return err
	}
	return writeFile(name, data)
}
