package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"limn/fixtures"
	"limn/profiles"
	"limn/profiles/tomlfile"
)

// calibrated lays a calibration file over a profile.
func calibrated(p *fixtures.Profile, file string, std stdio) (*fixtures.Profile, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, cannotRead(file, err)
	}
	defer f.Close()
	src, err := io.ReadAll(io.LimitReader(f, tomlfile.MaxFileSize+1))
	if err != nil {
		return nil, cannotRead(file, err)
	}
	var ps tomlfile.Problems
	c, ok := profiles.ParseCalibration(file, src, &ps)
	if ok {
		for _, fault := range c.Check(p) {
			if fault.Warning {
				ps.Warn(tomlfile.Pos(fault.Origin), fault.Cure, "%s", fault.What)
			} else {
				ps.Error(tomlfile.Pos(fault.Origin), fault.Cure, "%s", fault.What)
			}
		}
	}
	if errs, _ := printProblems(std.Err, ps.Sorted()); errs > 0 {
		return nil, failuref(statusFiles, "", "%s has %s", file, count(errs, "fault"))
	}
	own, err := c.Apply(p)
	if err != nil {
		return nil, failuref(statusFiles, "", "%v", err)
	}
	own.Title = titleOf(p) + ", as measured in " + file
	return own, nil
}

func cannotRead(file string, err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		err = at.Err
	}
	return failuref(statusFiles, "name a calibration file, as --calibration calibrations/sky.toml", "%s cannot be read: %v", file, err)
}

// measuredText lists the sources that are calibrated, with what a calibration
// tells, by what and when it was measured, and what the light loses as it warms
// up; empty if none is.
func measuredText(rig *fixtures.Rig) string {
	var b strings.Builder
	for i := range rig.Sources {
		c := rig.Sources[i].Calibration
		if c == nil {
			continue
		}
		if b.Len() == 0 {
			b.WriteString("measured:\n")
		}
		fmt.Fprintf(&b, "  %s: %s in %s", rig.Sources[i].Name, measuredParts(c), c.Path)
		for _, more := range []string{c.Date, c.Instrument, warmUpText(c.WarmUp)} {
			if more != "" {
				b.WriteString(", " + more)
			}
		}
		b.WriteString("\n")
	}
	if b.Len() > 0 {
		b.WriteString("\n")
	}
	return b.String()
}

// measuredParts is what was measured: "2 emitters and what dimming to 1 % does".
func measuredParts(c *fixtures.Calibration) string {
	var parts []string
	if n := len(c.Emitters); n > 0 {
		parts = append(parts, count(n, "emitter"))
	}
	if len(c.CCT.Table) > 0 {
		parts = append(parts, "its whites")
	}
	if c.Dimmer.Response != nil || c.Dimmer.Floor > 0 {
		parts = append(parts, "its dimmer")
	}
	if deepest := deepestMeasured(c); deepest < 1 {
		parts = append(parts, fmt.Sprintf("what dimming to %.3g %% does", 100*deepest))
	}
	if parts == nil {
		return "its lux"
	}
	return strings.Join(parts, " and ")
}

// deepestMeasured is the lowest level at which a colour was measured; 1 = only full.
func deepestMeasured(c *fixtures.Calibration) float64 {
	deepest := 1.0
	for i := range c.Emitters {
		for _, d := range c.Emitters[i].Dimmed {
			deepest = min(deepest, d.Level)
		}
	}
	for _, d := range c.Drift {
		deepest = min(deepest, d.Level)
	}
	return deepest
}

// warmUpText is "warming up loses 2.5 % in 5 min, 4 % in 30 min".
func warmUpText(points []fixtures.WarmUp) string {
	if len(points) == 0 {
		return ""
	}
	parts := make([]string, len(points))
	for i, p := range points {
		parts[i] = fmt.Sprintf("%.3g %% in %s", 100*p.Loss, minutesText(p.After))
	}
	return "warming up loses " + strings.Join(parts, ", ")
}

func minutesText(seconds float64) string {
	if seconds < 60 {
		return fmt.Sprintf("%.3g s", seconds)
	}
	return fmt.Sprintf("%.3g min", seconds/60)
}

// calibrationObject is a calibration for programs; null for a source without.
func calibrationObject(c *fixtures.Calibration) any {
	if c == nil {
		return nil
	}
	emitters := []any{}
	for i := range c.Emitters {
		emitters = append(emitters, c.Emitters[i].Name)
	}
	warmUp := []any{}
	for _, p := range c.WarmUp {
		warmUp = append(warmUp, object{{"after", p.After}, {"loss", p.Loss}})
	}
	return object{
		{"file", c.Path},
		{"date", c.Date},
		{"instrument", c.Instrument},
		{"note", c.Note},
		{"emitters", emitters},
		{"deepest", deepestMeasured(c)},
		{"warm_up", warmUp},
	}
}
