package measure

import (
	"fmt"
	"math"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// SheetVersion is the version of sheets that is read.
const SheetVersion = 1

// Sheet is a file of readings: what a meter said, which spectra and photographs there
// are of which light.
//
//	version    = 1
//	instrument = "hand spectrometer"
//	distance   = "0.55 m"           # light's face to meter; left out = at the aim point
//	converter  = "dcraw_emu -T -4 -o 0 -r 1 1 1 1 -W FILE"   # of raw files
//	region     = "400x300+1200+800" # of the card; left out = found
//	reference  = "sky"              # taken to be as it is known, where no light is
//
//	[[reading]]
//	source  = "sky"
//	control = "warm"                # an emitter, "dimmer", "cct", "all" (the whole light), "dark"
//	level   = "50 %"                # or a code: 128; left out = full
//	lux     = "830 lx"
//	colour  = "xy 0.4573 0.4089"    # or 2750 K tint -0.003
//	after   = "12 min"              # since it was switched on
//
//	[[spectrum]]
//	source  = "sky"
//	control = "warm"
//	file    = "warm.csv"
//
//	[[photo]]
//	source  = "sky"
//	control = "warm"
//	level   = "50 %"
//	file    = "IMG_0012.tif"
//	shutter = "1/50 s"              # these three only where the file does not tell
//	aperture = "f/8"
//	iso     = 400
//
//	[[known]]                       # a light whose reading is known: five of them, of
//	file   = "known/tungsten.tif"   # different colours, tell how the camera sees
//	dark   = "known/dark.tif"
//	lux    = "700 lx"
//	colour = "2870 K"
type Sheet struct {
	Instrument, Note, Converter, Region, Reference string
	Distance                                       quantity.Length
	Readings                                       []SheetReading
	Spectra                                        []SheetFile
	Photos                                         []SheetFile
	Known                                          []SheetKnown
}

// SheetReading is one reading of a sheet; its level is still as written.
type SheetReading struct {
	Reading
	Level string
}

// SheetFile is a spectrum or photograph of one light.
type SheetFile struct {
	fixtures.Origin
	Source, Control, Level, File string
	Shutter, Aperture, ISO       float64 // 0 = as the file tells
}

// SheetKnown is the photograph of a light whose reading is known.
type SheetKnown struct {
	fixtures.Origin
	File, Dark             string
	Lux                    float64
	XY                     colour.XY
	Shutter, Aperture, ISO float64
}

// ParseSheet reads a sheet. Everything wrong goes to ps with its place; ok is false if
// anything was, and the sheet then holds what could be read.
func ParseSheet(file string, src []byte, ps *tomlfile.Problems) (s *Sheet, ok bool) {
	s = new(Sheet)
	own := new(tomlfile.Problems)
	t := tomlfile.Parse(file, src, own)
	if t != nil {
		p := sheetParser{own}
		p.sheet(t, s)
		t.Close()
	}
	for _, problem := range own.Sorted() {
		if problem.Warning {
			ps.Warn(problem.Pos, problem.Cure, "%s", problem.What)
		} else {
			ps.Error(problem.Pos, problem.Cure, "%s", problem.What)
		}
	}
	return s, t != nil && !own.Failed()
}

type sheetParser struct{ ps *tomlfile.Problems }

func (p *sheetParser) sheet(t *tomlfile.Table, s *Sheet) {
	if t.Require("version", fmt.Sprintf("version = %d", SheetVersion)) {
		if v, ok := t.Int("version"); ok && v != SheetVersion {
			p.ps.Error(t.ValuePos("version"), fmt.Sprintf("this program reads version %d", SheetVersion), "the sheet of readings has version %d", v)
		}
	}
	s.Instrument, _ = t.String("instrument")
	s.Note, _ = t.String("note")
	s.Converter, _ = t.String("converter")
	s.Region, _ = t.String("region")
	s.Reference, _ = t.String("reference")
	s.Distance, _ = tomlfile.Read(t, "distance", quantity.ParseLength)
	for _, r := range p.rows(t, "reading") {
		q := SheetReading{Reading: Reading{Origin: fixtures.Origin(r.Pos()), Lux: math.NaN(), After: math.NaN()}}
		q.Source, q.Control, q.Reading.Level = p.who(r)
		q.Level = p.level(r)
		if r.Require("lux", `write lux = "830 lx", what the meter showed`) {
			if lux, ok := tomlfile.Read(r, "lux", quantity.ParseIlluminance); ok {
				q.Lux = lux.Lux
			}
		}
		q.XY = p.colour(r)
		if after, ok := tomlfile.Read(r, "after", quantity.ParseDuration); ok {
			q.After = after.Seconds
		}
		s.Readings = append(s.Readings, q)
	}
	for _, r := range p.rows(t, "spectrum") {
		s.Spectra = append(s.Spectra, p.file(r, "warm.csv"))
	}
	for _, r := range p.rows(t, "photo") {
		f := p.file(r, "IMG_0012.tif")
		f.Shutter, f.Aperture, f.ISO = p.exposure(r)
		s.Photos = append(s.Photos, f)
	}
	for _, r := range p.rows(t, "known") {
		k := SheetKnown{Origin: fixtures.Origin(r.Pos())}
		if r.Require("file", `write file = "known/tungsten.tif", its photograph`) {
			k.File, _ = r.String("file")
		}
		k.Dark, _ = r.String("dark")
		if r.Require("lux", `write lux = "700 lx", what a meter reads of it at the card`) {
			if lux, ok := tomlfile.Read(r, "lux", quantity.ParseIlluminance); ok {
				k.Lux = lux.Lux
			}
		}
		if r.Require("colour", `write colour = "2870 K" or "xy 0.45 0.41", what it is known to be`) {
			k.XY = p.colour(r)
		}
		k.Shutter, k.Aperture, k.ISO = p.exposure(r)
		s.Known = append(s.Known, k)
	}
	if len(s.Readings)+len(s.Spectra)+len(s.Photos) == 0 && !t.Damaged() {
		p.ps.Error(t.Pos(), "write [[reading]], [[spectrum]] or [[photo]], one for each", "the sheet has no readings")
	}
}

// rows are the tables of a list, as many as a sheet may have.
func (p *sheetParser) rows(t *tomlfile.Table, key string) []*tomlfile.Table {
	rows := t.Tables(key)
	if len(rows) > MaxReadings {
		p.ps.Error(rows[MaxReadings].Pos(), "take some out", "%s has %d entries, more than %d", key, len(rows), MaxReadings)
		for _, r := range rows[MaxReadings:] {
			r.Keys()
		}
		rows = rows[:MaxReadings]
	}
	return rows
}

// who is the source and control of a row.
func (p *sheetParser) who(t *tomlfile.Table) (source, control string, level float64) {
	if t.Require("source", `write source = "sky", as the rig names it`) {
		source, _ = t.String("source")
	}
	control, _ = t.String("control")
	return source, control, 1
}

// level is text or a whole number, as written.
func (p *sheetParser) level(t *tomlfile.Table) string {
	v, ok := t.Value("level")
	if !ok {
		return ""
	}
	if n, whole := v.Integer(); whole {
		return fmt.Sprint(n)
	}
	text, _ := t.String("level")
	return text
}

func (p *sheetParser) file(t *tomlfile.Table, example string) SheetFile {
	f := SheetFile{Origin: fixtures.Origin(t.Pos())}
	f.Source, f.Control, _ = p.who(t)
	f.Level = p.level(t)
	if t.Require("file", fmt.Sprintf("write file = %q", example)) {
		f.File, _ = t.String("file")
	}
	return f
}

func (p *sheetParser) exposure(t *tomlfile.Table) (shutter, aperture, iso float64) {
	if v, ok := tomlfile.Read(t, "shutter", quantity.ParseShutter); ok {
		if v.IsAngle() {
			p.ps.Error(t.ValuePos("shutter"), `write shutter = "1/50 s"`, "an angle says no time without a frame rate")
		} else {
			shutter = v.Seconds(0)
		}
	}
	if v, ok := tomlfile.Read(t, "aperture", quantity.ParseAperture); ok {
		aperture = v.N
	}
	if v, ok := t.Int("iso"); ok {
		if v < 1 {
			p.ps.Error(t.ValuePos("iso"), "write iso = 400", "an ISO of %d", v)
		}
		iso = float64(v)
	}
	return shutter, aperture, iso
}

// colour reads a colour that follows no camera; zero where there is none.
func (p *sheetParser) colour(t *tomlfile.Table) colour.XY {
	spec, ok := tomlfile.Read(t, "colour", colour.ParseSpec)
	if !ok {
		return colour.XY{}
	}
	if spec.FollowsCamera() {
		p.ps.Error(t.ValuePos("colour"), `write what it was read as: "xy 0.45 0.41", "2870 K tint +0.001"`, "%q depends on the camera's white", spec.String())
		return colour.XY{}
	}
	return spec.Resolve(colour.White{}) // it follows no camera
}
