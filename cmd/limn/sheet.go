package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"limn/cmd/internal/dial"
	"limn/cmd/internal/sheet"
	"limn/cue"
	"limn/cue/files"
	"limn/cue/plan"
	"limn/fixtures/reflect"
)

type sheetFlags struct {
	output   string
	cues     []string
	log      string
	pictures bool
	even     bool
	size     string
	noPlans  bool
	noSlots  bool
	revision string
	workers  int
}

// sheetPicture is the size of pictures on a page: about 200 dots an inch there.
const sheetPicture = "720x480"

func newSheet(std stdio) *cobra.Command {
	var f sheetFlags
	cmd := &cobra.Command{
		Use:   "sheet [SHOOT] -o FILE",
		Short: "The lighting sheet: a page for each cue, lists, power and full size, for the wall",
		Long: `Writes the lighting sheet of a shoot: for each cue a page with a short slate for the
radio, its plan from above to scale, every source in stops against the key, lux, kelvin,
tint and xy, cards with their marks, the camera, the timing and what changes by hand;
and cue list, source list, card list, power, full size and cautions. Approved frames
that were attached stand on their page.

Into .html, which holds everything and prints on A4 and Letter; .pdf, printed by an
installed browser; .csv or .json. --pictures draws what the camera sees onto each page.`,
		Example: `  limn sheet harbour -o harbour.html
  limn sheet harbour -o harbour.pdf --pictures
  limn sheet harbour -o harbour.csv`,
		GroupID:           groupFigures,
		Args:              atMostOne,
		ValidArgsFunction: completeFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			file, err := newSheetFile(f.output, std.Out)
			if err != nil {
				return err
			}
			size, err := pictureSize(f.size)
			if err != nil {
				return err
			}
			if f.workers < 0 || f.workers > maxWorkers {
				return usagef("leave it out for as many as there are processors", "--workers: %d is not from 0 to %d", f.workers, maxWorkers)
			}
			dir, err := shootDir(args)
			if err != nil {
				return err
			}
			return writeSheet(cmd.Context(), dir, &f, file, size, std)
		},
	}
	fl := cmd.Flags()
	fl.StringVarP(&f.output, "output", "o", "", "write into `FILE`.html, .pdf, .csv or .json (- for HTML on standard output)")
	fl.StringArrayVar(&f.cues, "cue", nil, "only the cue of this `NAME`; may be given again")
	fl.StringVar(&f.log, "log", "", "as shot: the light that a run had, from its journal `LOG`, or of a shoot's folder the last one")
	fl.BoolVar(&f.pictures, "pictures", false, "draw what the camera sees onto each page; takes about a second a cue")
	fl.BoolVar(&f.even, "even", false, "expose those pictures by their own light, not as the camera is set")
	fl.StringVar(&f.size, "size", sheetPicture, "size of those pictures, `WIDTHxHEIGHT` in pixels")
	fl.BoolVar(&f.noPlans, "no-plans", false, "leave the plans out")
	fl.BoolVar(&f.noSlots, "no-slots", false, "leave the appendix of slots out")
	fl.StringVar(&f.revision, "revision", "", "`TEXT` that stands on every page as its revision (when the files were last changed, if left out)")
	fl.IntVar(&f.workers, "workers", 0, "how many rows of a picture are worked at once: `N` (as many as there are processors if left out)")
	must(cmd.MarkFlagFilename("output", "html", "pdf", "csv", "json"))
	must(cmd.RegisterFlagCompletionFunc("cue", completeCues))
	return cmd
}

func writeSheet(ctx context.Context, dir string, f *sheetFlags, file *sheetFile, size reflect.Size, std stdio) error {
	folder, shoot, err := openFolder(dir, std)
	if err != nil {
		return err
	}
	if len(shoot.Cues) == 0 {
		return failuref(statusFailed, "write the first one into cues.toml", "%s has no cues yet", dir)
	}
	mesh := readMesh(shoot, dir, std)
	opt := plan.SheetOptions{Options: plan.Options{Cues: f.cues, Mesh: boundsOf(mesh)}}
	source := "from the files of " + filepath.Base(filepath.Clean(dir))
	if f.log != "" {
		if opt.Light, opt.Cues, source, err = sheetLog(f.log, shoot, f.cues, std); err != nil {
			return err
		}
		played := *shoot // for plans and pictures; the folder's own stays as it is
		played.Resolved = slices.Clone(shoot.Resolved)
		for i, r := range opt.Light {
			if r != nil {
				played.Resolved[i] = *r
			}
		}
		shoot = &played
	}
	s, err := plan.NewSheet(shoot, opt)
	if err != nil {
		return planFault(err)
	}
	if ctx.Err() != nil {
		return ended(ctx)
	}
	look := sheet.Options{Revision: f.revision, Source: source, Slots: !f.noSlots}
	if look.Revision == "" {
		look.Revision = revisionOf(dir, folder)
	}
	var out bytes.Buffer
	switch file.kind {
	case "CSV":
		err = sheet.CSV(&out, s)
	case "JSON":
		err = sheetJSON(&out, s, &look)
	default:
		var pages []sheet.Page
		if pages, err = sheetPages(ctx, dir, folder, shoot, s, f, size, mesh, std); err != nil {
			return err
		}
		err = sheet.HTML(&out, s, pages, look)
	}
	if err != nil {
		return failuref(statusFailed, "", "the sheet cannot be written: %v", err)
	}
	if err := file.write(ctx, out.Bytes()); err != nil {
		return err
	}
	if file.name != "-" {
		note(std.Err, "%s on %s", count(len(s.Cues), "cue"), file.name)
	}
	return nil
}

// cueNames are the cues of a sheet.
func cueNames(s *plan.Sheet) []string {
	names := make([]string, len(s.Cues))
	for i := range s.Cues {
		names[i] = s.Cues[i].Name
	}
	return names
}

// revisionOf is when a shoot's files were last changed.
func revisionOf(dir string, folder *files.Folder) string {
	var last time.Time
	for name := range folder.Texts() {
		if info, err := os.Stat(filepath.Join(dir, filepath.FromSlash(name))); err == nil && info.ModTime().After(last) {
			last = info.ModTime()
		}
	}
	if last.IsZero() {
		return "not known"
	}
	return last.Format("2006-01-02 15:04")
}

// sheetPages draws what the pages of the cues show.
func sheetPages(ctx context.Context, dir string, folder *files.Folder, shoot *cue.Shoot, s *plan.Sheet, f *sheetFlags, size reflect.Size, mesh *reflect.Mesh, std stdio) ([]sheet.Page, error) {
	pages := make([]sheet.Page, len(s.Cues))
	if !f.noPlans {
		if err := sheetPlans(ctx, shoot, s, pages); err != nil {
			return nil, err
		}
	}
	approvals, _, err := folder.Approvals()
	if err != nil {
		note(std.Err, "approved frames are left out: %v", err)
	}
	for i := range s.Cues {
		if a := approvals[s.Cues[i].Cue]; a != nil {
			pages[i].Frame = approvedFrame(dir, a, std)
		}
	}
	if !f.pictures {
		return pages, nil
	}
	effort := reflect.Effort{Workers: f.workers}
	r, err := plan.NewMirror(ctx, shoot, plan.MirrorOptions{Cues: cueNames(s), Mesh: mesh, Effort: effort, Bare: true})
	if err != nil {
		if ctx.Err() != nil {
			return nil, ended(ctx)
		}
		return nil, planFault(err)
	}
	for i := range r.Cues {
		c := &r.Cues[i]
		if c.Missing != "" {
			note(std.Err, "%s has no picture: needs %s", c.Name, c.Missing)
			continue
		}
		img, err := c.Picture(ctx, shoot, size, f.even, effort)
		if err != nil {
			return nil, ended(ctx)
		}
		data, err := encodePNG(img)
		if err != nil {
			return nil, err
		}
		caption := "What the camera sees, exposed " + exposedHow(c, f.even) + "."
		for k := range c.View {
			if v := &c.View[k]; v.Hides.Value > 0 {
				caption += " " + strings.ToUpper(v.Say[:1]) + v.Say[1:] + "."
			}
		}
		pages[i].Picture = &sheet.Image{Type: "image/png", Data: data, Caption: caption}
	}
	return pages, nil
}

// planBatch is how many cues are settled at once: no more than dial shows on a sheet.
const planBatch = 50

func sheetPlans(ctx context.Context, shoot *cue.Shoot, s *plan.Sheet, pages []sheet.Page) error {
	for at := 0; at < len(s.Cues); at += planBatch {
		some := s.Cues[at:min(at+planBatch, len(s.Cues))]
		cues := make([]int, len(some))
		for i := range some {
			cues[i] = some[i].Cue
		}
		snaps, err := settled(ctx, shoot, cues)
		if err != nil {
			return err
		}
		for i, snap := range snaps {
			for _, p := range []struct {
				frame dial.Frame
				width int // the second is drawn small, with words that stay legible so
				to    *[]byte
			}{{dial.Camera, dial.WideWidth, &pages[at+i].Camera}, {dial.Boat, dial.NarrowWidth, &pages[at+i].Boat}} {
				var svg bytes.Buffer
				opt := dial.Options{Theme: dial.Ink, Frame: p.frame, Part: dial.Plan, Width: p.width, ID: fmt.Sprintf("plan%d%s", at+i, p.frame)}
				if err := dial.SVG(&svg, shoot, snap, opt); err != nil {
					return err
				}
				*p.to = svg.Bytes()
			}
		}
	}
	return nil
}
