package main

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"limn/fixtures/nearest"

	"limn/fixtures"
	"limn/fixtures/mix"
	"limn/fixtures/quantity"
	"limn/profiles"
	"limn/profiles/tomlfile"
)

// mixProfile answers for a light by its profile.
func mixProfile(ctx context.Context, f *mixFlags, std stdio) error {
	head, err := profileHead(f.profile, f, std)
	if err != nil {
		return err
	}
	var plot *plotFile
	if f.plot != "" {
		if plot, err = newPlotFile(f.plot); err != nil {
			return err
		}
	}
	target, err := parseColour(f.colour, f.white)
	if err != nil {
		return err
	}
	share, err := parseShare(f.level)
	if err != nil {
		return badFlag("level", err)
	}
	aim := head.Reach(target)
	rep := head.Explain(target.XYZ(float64(share*aim.MaxY)), true)
	rep.Aim = aim // darkness has no chromaticity; the target still has
	if plot != nil {
		if err := plot.write(ctx, profileChart(head, target, &rep, f.colour, f.level).SVG()); err != nil {
			return err
		}
	}
	if f.json {
		return writeJSON(std.Out, profileObject(head, target, &rep))
	}
	_, err = io.WriteString(std.Out, profileText(head, target, &rep, f.colour, f.level))
	return err
}

// profileHead looks a profile up and compiles it.
func profileHead(name string, f *mixFlags, std stdio) (*fixtures.Head, error) {
	profile, err := findProfile(name, f.shoot, std)
	if err != nil {
		return nil, err
	}
	if !profile.HasLight() {
		return nil, usagef("name the profile of a light; limn mix --profiles lists them", "profile %q gives no light: it turns the table", profile.Name)
	}
	if f.measured != "" {
		if profile, err = calibrated(profile, f.measured, std); err != nil {
			return nil, err
		}
	}
	goal, err := mix.ParseGoal(f.prefer)
	if err != nil {
		return nil, badFlag("prefer", err)
	}
	for i := range profile.Emitters {
		if e := &profile.Emitters[i]; goal == mix.Spectrum && e.Spectrum == nil {
			return nil, usagef("write even or power, or give the emitter peaks in a profile of your own",
				"--prefer: spectrum needs spectra, and that of emitter %q is not known", e.Name)
		}
	}
	head, err := fixtures.NewHead(profile, goal)
	if err != nil {
		return nil, failuref(statusFiles, "", "%v", err)
	}
	return head, nil
}

// openLibrary opens the built-in profiles, and before them a shoot's own.
func openLibrary(shoot string, std stdio) (*profiles.Library, error) {
	var own fs.FS
	dir := ""
	if shoot != "" {
		dir = filepath.Join(shoot, "profiles")
		if info, err := os.Stat(dir); err == nil && info.IsDir() {
			own = os.DirFS(dir)
		}
	}
	var ps tomlfile.Problems
	library := profiles.Open(own, dir, &ps)
	if ps.Failed() {
		errs, _ := printProblems(std.Err, ps.Sorted())
		return nil, failuref(statusFiles, "", "%s has %s", dir, count(errs, "fault"))
	}
	return library, nil
}

// findProfile looks a profile up.
func findProfile(name, shoot string, std stdio) (*fixtures.Profile, error) {
	library, err := openLibrary(shoot, std)
	if err != nil {
		return nil, err
	}
	p, ok := library.Find(name)
	if !ok {
		return nil, usagef(nearest.DidYouMean(name, library.Names()), "unknown profile %q", name)
	}
	return p, nil
}

// listProfiles lists the profiles there are.
func listProfiles(f *mixFlags, std stdio) error {
	library, err := openLibrary(f.shoot, std)
	if err != nil {
		return err
	}
	list := []any{}
	w := tabwriter.NewWriter(std.Out, 0, 0, 2, ' ', 0)
	for _, name := range library.Names() {
		p, ok := library.Find(name)
		if !ok {
			continue
		}
		if f.json {
			list = append(list, object{{"name", name}, {"title", p.Title}, {"slots", p.Footprint()}})
			continue
		}
		fmt.Fprintf(w, "%s\t%s\t%s\n", clean(name), count(p.Footprint(), "slot"), clean(p.Title))
	}
	if f.json {
		return writeJSON(std.Out, object{{"version", jsonVersion}, {"profiles", list}})
	}
	return w.Flush()
}

// parseShare reads how much of the most: "50 %" or "-1.5 stops".
func parseShare(text string) (float64, error) {
	if strings.Contains(text, "stop") {
		s, err := quantity.ParseStops(text)
		return math.Exp2(s.Stops), err
	}
	p, err := quantity.ParsePercent(text)
	return p.Share, err
}
