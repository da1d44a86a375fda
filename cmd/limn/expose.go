package main

import (
	"errors"
	"os"

	"github.com/spf13/cobra"

	"limn/cue"
	"limn/cue/plan"
	"limn/fixtures/nearest"
	"limn/fixtures/quantity"
	"limn/fixtures/reflect"
	"limn/fixtures/space"
)

type exposeFlags struct {
	cues          []string
	like          string
	fullLook      string
	fullSensor    string
	json, explain bool
}

func newExpose(std stdio) *cobra.Command {
	var f exposeFlags
	cmd := &cobra.Command{
		Use:   "expose [SHOOT]",
		Short: "What each angle gives the camera: exposure, sharpness, look, balance",
		Long: `Reckons, for every cue or those named, the light at the aim point, the exposure it
gives the camera as it is set, how bright the varnish mirrors each light, how much
of the model one frame holds sharp, and the full-size frame that it looks like; then
holds the cues against each other and says which light to trim by how much.

A figure that lacks something names it, and the rest comes all the same. --explain
shows the formula of every figure, what went into it, its source and where it holds.`,
		Example: `  limn expose harbour
  limn expose harbour --cue bow --explain
  limn expose harbour --full-look f/5.6     # what it takes to look like that at full size
  limn expose harbour --like bow --json`,
		GroupID:           groupFigures,
		Args:              atMostOne,
		ValidArgsFunction: completeFolder,
		RunE: func(_ *cobra.Command, args []string) error {
			opt, err := f.options()
			if err != nil {
				return err
			}
			shoot, dir, err := reportShoot(args, std)
			if err != nil {
				return err
			}
			opt.Mesh = readBounds(shoot, dir, std)
			report, err := plan.NewExpose(shoot, opt)
			if err != nil {
				return planFault(err)
			}
			if f.json {
				return exposeJSON(std.Out, report, f.explain)
			}
			return exposeText(std.Out, report, f.explain)
		},
	}
	fl := cmd.Flags()
	fl.StringArrayVar(&f.cues, "cue", nil, "only the cue of this `NAME`; may be given again")
	fl.StringVar(&f.like, "like", "", "hold the others against the cue of this `NAME`, not against the first")
	fl.StringVar(&f.fullLook, "full-look", "", "what it takes to look like this `APERTURE` at full size, as f/5.6")
	fl.StringVar(&f.fullSensor, "full-sensor", "", "the `SENSOR` of that full-size camera, as \"36x24 mm\" (the model's if left out)")
	fl.BoolVar(&f.explain, "explain", false, "show formula, inputs, source and validity of every figure")
	fl.BoolVar(&f.json, "json", false, "print one JSON object")
	return cmd
}

func (f *exposeFlags) options() (plan.Options, error) {
	opt := plan.Options{Cues: f.cues, Like: f.like}
	if f.fullLook != "" {
		a, err := quantity.ParseAperture(f.fullLook)
		if err != nil {
			what, cure := complaint(err)
			return opt, usagef(cure, "--full-look: %s", what)
		}
		opt.FullLook = a.N
	}
	if f.fullSensor != "" {
		s, err := quantity.ParseSensor(f.fullSensor)
		if err != nil {
			what, cure := complaint(err)
			return opt, usagef(cure, "--full-sensor: %s", what)
		}
		opt.FullSensor = 1000 * s.Width
	}
	return opt, nil
}

// reportShoot reads the shoot a report is about.
func reportShoot(args []string, std stdio) (*cue.Shoot, string, error) {
	dir, err := shootDir(args)
	if err != nil {
		return nil, "", err
	}
	shoot, err := openShoot(dir, std)
	return shoot, dir, err
}

// planFault is what a report cannot do, in the command's words.
func planFault(err error) error {
	var unknown *plan.UnknownCueError
	if errors.As(err, &unknown) {
		return usagef(nearest.DidYouMean(unknown.Name, unknown.Names), "no cue is called %q", unknown.Name)
	}
	return failuref(statusFiles, "", "%v", err)
}

// readBounds reads how large a mesh is. One that cannot be read is told, and the
// report goes on with what is written of the subject.
func readBounds(shoot *cue.Shoot, dir string, std stdio) *[2]space.Vec {
	form := &shoot.Subject.Form
	if form.Kind != cue.FormMesh || form.File == "" {
		return nil
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		note(std.Err, "%s: %v", dir, pathCause(err))
		return nil
	}
	defer root.Close()
	file, err := root.Open(form.File)
	if err != nil {
		note(std.Err, "the mesh %s cannot be read: %v; put it beside rig.toml. Its bounding box is taken from length, width and height", form.File, pathCause(err))
		return nil
	}
	defer file.Close()
	fit := reflect.Fit{Length: shoot.Subject.Length.Metres, Width: shoot.Subject.Width.Metres, Height: shoot.Subject.Height.Metres}
	for _, axis := range []struct {
		text string
		to   *reflect.Axis
	}{{form.Bow, &fit.Bow}, {form.Up, &fit.Up}} {
		if axis.text != "" {
			if *axis.to, err = reflect.ParseAxis(axis.text); err != nil {
				note(std.Err, "%s: %v", form.File, err)
				return nil
			}
		}
	}
	mesh, notes, err := reflect.ReadMesh(form.File, file, fit)
	if err != nil {
		note(std.Err, "the mesh %s cannot be used: %v. Its bounding box is taken from length, width and height", form.File, err)
		return nil
	}
	for _, n := range notes {
		note(std.Err, "%s: %s", form.File, n)
	}
	low, high := mesh.Bounds()
	return &[2]space.Vec{low, high}
}
