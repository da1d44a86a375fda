package files

import (
	"errors"
	"io/fs"
	"path"
	"strings"

	"limn/fixtures"
	"limn/fixtures/nearest"
	"limn/profiles"
	"limn/profiles/tomlfile"
)

// CalibrationDir is where calibrations are customary. A source may name any file
// of the shoot.
const CalibrationDir = "calibrations"

// calibration reads what was measured of a source and holds it against its
// profile. It counts over the meter reading in the rig.
func (l *loader) calibration(t *tomlfile.Table, s *fixtures.Source) {
	name, ok := t.String("calibration")
	if !ok {
		return
	}
	at := t.ValuePos("calibration")
	c := l.openCalibration(name, at)
	if c == nil || s.Profile == nil {
		return // said already
	}
	faults := c.Check(s.Profile)
	l.report(faults)
	for _, f := range faults {
		if !f.Warning {
			return
		}
	}
	s.Calibration = c
	l.calibratedLux(c, s, at, t.ValuePos("full"))
}

// calibratedLux takes the lux of the whole light from its calibration.
func (l *loader) calibratedLux(c *fixtures.Calibration, s *fixtures.Source, at, full tomlfile.Pos) {
	lux := c.MostLux(s.Profile)
	switch {
	case lux == 0:
	case !c.AtAim(s.Place) && s.Full == 0:
		stands := "its place is not written"
		if s.Place.Known {
			stands = "it stands at " + s.Place.Distance.String()
		}
		l.ps.Warn(at, `write its place, if that is where it stands, or full = "850 lx", read at the aim point`,
			"the lux of %s were read at %s and %s, so they do not tell its lux at the aim point", c.Path, c.Distance, stands)
	case !c.AtAim(s.Place):
	default:
		if s.Full > 0 && fixtures.Disagree(lux, s.Full) {
			l.ps.Warn(full, "take out the one that is out of date",
				"full is %.4g lx, calibration %s says %.4g lx: the calibration counts", s.Full, tomlfile.Quote(c.Path), lux)
		}
		s.Full = lux
	}
}

// openCalibration reads a calibration once, however many sources name it. It is
// nil if there is anything wrong with it.
func (l *loader) openCalibration(name string, at tomlfile.Pos) *fixtures.Calibration {
	file := path.Clean(name)
	if !within(name) {
		l.ps.Error(at, "copy the file into the shoot and name it from there, as calibration = \""+CalibrationDir+"/sky.toml\"",
			"%s is no file of the shoot's folder", tomlfile.Quote(name))
		return nil
	}
	if c, known := l.calibrations[file]; known {
		return c
	}
	c := l.readCalibration(file, at)
	if l.calibrations == nil {
		l.calibrations = map[string]*fixtures.Calibration{}
	}
	l.calibrations[file] = c
	return c
}

// within says whether a name stays in the shoot's folder on every system: written
// with slashes, relative, and never going up beyond it.
func within(name string) bool {
	file := path.Clean(name)
	return name != "" && file != "." && fs.ValidPath(file) && !strings.ContainsAny(name, `\:`)
}

func (l *loader) readCalibration(file string, at tomlfile.Pos) *fixtures.Calibration {
	src, err := l.read(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		l.ps.Error(at, nearest.DidYouMean(file, l.beside(file)), "there is no calibration %s", tomlfile.Quote(file))
		return nil
	case err != nil:
		l.ps.Error(at, "a calibration is a TOML file", "the calibration %s cannot be read: %s", tomlfile.Quote(file), cause(err))
		return nil
	}
	c, ok := profiles.ParseCalibration(l.shown(file), src, &l.ps)
	if !ok {
		return nil
	}
	c.Path = file
	return c
}

// maxBeside is how many files are looked at for the one that was meant.
const maxBeside = 1000

// beside lists the TOML files of the folder in which a file should be.
func (l *loader) beside(file string) []string {
	dir := path.Dir(file)
	entries, err := fs.ReadDir(l.seen, dir)
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries[:min(len(entries), maxBeside)] {
		if !e.IsDir() && path.Ext(e.Name()) == ".toml" && !strings.HasPrefix(e.Name(), ".") {
			names = append(names, path.Join(dir, e.Name()))
		}
	}
	return names
}
