package main

import (
	"os"

	"limn/cue"
	"limn/fixtures/reflect"
)

// readMesh reads the mesh that a subject names. One that cannot be read is told, and
// the report goes on with what is written of the subject.
func readMesh(shoot *cue.Shoot, dir string, std stdio) *reflect.Mesh {
	form := &shoot.Subject.Form
	if form.Kind != cue.FormMesh || form.File == "" {
		return nil
	}
	const instead = "its bounding box is taken instead, from length, width and height"
	root, err := os.OpenRoot(dir)
	if err != nil {
		note(std.Err, "%s: %v", dir, pathCause(err))
		return nil
	}
	defer root.Close()
	file, err := root.Open(form.File)
	if err != nil {
		note(std.Err, "the mesh %s cannot be read: %v; put it beside rig.toml. %s", form.File, pathCause(err), instead)
		return nil
	}
	defer file.Close()
	fit := reflect.Fit{Length: shoot.Subject.Length.Metres, Width: shoot.Subject.Width.Metres, Height: shoot.Subject.Height.Metres}
	for _, axis := range []struct {
		text string
		to   *reflect.Axis
	}{{form.Bow, &fit.Bow}, {form.Up, &fit.Up}} {
		if axis.text == "" {
			continue
		}
		if *axis.to, err = reflect.ParseAxis(axis.text); err != nil {
			note(std.Err, "%s: %v", form.File, err)
			return nil
		}
	}
	mesh, notes, err := reflect.ReadMesh(form.File, file, fit)
	if err != nil {
		note(std.Err, "the mesh %s cannot be used: %v. %s", form.File, err, instead)
		return nil
	}
	for _, n := range notes {
		note(std.Err, "%s: %s", form.File, n)
	}
	return mesh
}
