package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/nearest"
	"limn/fixtures/quantity"
	"limn/profiles/greycard"
	"limn/profiles/measure"
)

// Ways of measuring.
const (
	modeQuick    = "quick"
	modeMeter    = "meter"
	modeSpectrum = "spectrum"
	modeCamera   = "camera"
)

// measureFlags are the answers that a command line gives.
type measureFlags struct {
	mode       string
	sources    []string
	control    string
	readings   string
	columns    []string
	levels     int
	instrument string
	note       string
	distance   string
	lit        string
	photos     string
	known      []string
	reference  string
	region     string
	converter  string
	absolute   bool
	plan       bool
	dryRun     bool
	yes        bool
}

func newMeasure(std stdio) *cobra.Command {
	var f measureFlags
	cmd := &cobra.Command{
		Use:   "measure [SHOOT]",
		Short: "Make calibrations of what a meter or camera says",
		Long: `Turns readings of the lights into calibrations, with a report of what is left over
and what changes for each cue. It asks for each reading and keeps every answer at
once, so that it may be left and taken up again; or it reads them from a file.

  quick      each light alone at full, one reading each: lux, key ratios and pairs
  meter      each emitter at 9 to 17 levels, a reference between: all of it
  spectrum   a spectrum of each emitter alone: colours, how they compare, SSI
  camera     photographs of a grey card, one for each emitter and level

Measure in a dark room, half an hour after switching on, with meter or card at the
aim point facing the light, on a mark of tape. Do not look into bright LEDs.`,
		Example: `  limn measure harbour
  limn measure harbour --mode meter --source sky --lit "30 min"
  limn measure harbour --mode meter --readings sky.csv --source sky --column "lux=Ev"
  limn measure harbour --mode camera --source sky --plan      # what to photograph
  limn measure harbour --mode camera --source sky --photos card --known "card/a.tif=700 lx 2870 K"`,
		GroupID: groupSet,
		Args:    atMostOne,

		ValidArgsFunction: completeFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			dir, err := shootDir(args)
			if err != nil {
				return err
			}
			return runMeasure(cmd.Context(), dir, &f, std)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&f.mode, "mode", modeQuick, "`WAY` of measuring: quick, meter, spectrum or camera")
	fl.StringArrayVar(&f.sources, "source", nil, "measure this `NAME` only; may be repeated")
	fl.StringVar(&f.control, "control", "", "what a table without that column is of: an `EMITTER`, dimmer, cct or all")
	fl.StringVar(&f.readings, "readings", "", "read a `FILE` instead of asking: .csv as a meter's software exports it, or .toml")
	fl.StringArrayVar(&f.columns, "column", nil, "which column of a table holds what, as `lux=Ev`; may be repeated")
	fl.IntVar(&f.levels, "levels", measure.DefaultLevels, fmt.Sprintf("levels of each emitter, `N` of %d to %d", measure.MinLevels, measure.MaxLevels))
	fl.StringVar(&f.instrument, "instrument", "", "`NAME` of the instrument, for the calibration")
	fl.StringVar(&f.note, "note", "", "`TEXT` to remember with it")
	fl.StringVar(&f.distance, "distance", "", "`LENGTH` from light's face to meter; left out = meter at the aim point")
	fl.StringVar(&f.lit, "lit", "", "`TIME` that the light has been on at the first reading")
	fl.StringVar(&f.photos, "photos", "", "`FOLDER` of photographs, taken in the order of --plan and named in it")
	fl.StringArrayVar(&f.known, "known", nil, "a photograph of a light that is known, as `\"FILE=700 lx 2870 K\"`; may be repeated")
	fl.StringVar(&f.reference, "reference", "", "`NAME` of the source taken to be as it is known, where no light is")
	fl.StringVar(&f.region, "region", "", "where the card is, as `400x300+1200+800`; left out = found")
	fl.StringVar(&f.converter, "converter", "", "`COMMAND` that makes a linear TIFF of a raw FILE, as \""+greycard.DefaultConverter+"\"")
	fl.BoolVar(&f.absolute, "absolute", false, "the spectra are in W/m² nm, so that they tell lux")
	fl.BoolVar(&f.plan, "plan", false, "only list the readings to take, in their order")
	fl.BoolVar(&f.dryRun, "dry-run", false, "report, but write nothing")
	fl.BoolVar(&f.yes, "yes", false, "write without asking")
	return cmd
}

// measuring is one run of limn measure.
type measuring struct {
	*measureFlags
	dir      string
	shoot    *cue.Shoot
	hidden   bool // the cues have faults and were left out
	now      time.Time
	std      stdio
	ask      *asker
	lamp     measure.Lamp // shows what is asked about
	distance quantity.Length
	lit      float64 // seconds; negative = not told

	book      *answerBook      // of what was typed; nil where nothing is
	bare      map[string]bool  // sources whose lux came without a unit
	relative  bool             // readings are lumens against another light
	confirmed bool             // what looked like a slip was asked for again
	clock     func() time.Time // for the times of readings
}

func runMeasure(ctx context.Context, dir string, f *measureFlags, std stdio) error {
	m := &measuring{measureFlags: f, dir: dir, now: time.Now(), std: std, lit: -1, bare: map[string]bool{}, clock: time.Now}
	if err := m.check(); err != nil {
		return err
	}
	var err error
	if m.shoot, m.hidden, err = openRig(dir, std); err != nil {
		return err
	}
	chosen, err := m.chosen()
	if err != nil {
		return err
	}
	if f.plan {
		return m.list(chosen)
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	m.ask, m.lamp = newAsker(ctx, std), handLamp{}
	var results []*lightResult
	switch f.mode {
	case modeQuick:
		results, err = m.quick(chosen)
	case modeMeter:
		results, err = m.meter(chosen)
	case modeSpectrum:
		results, err = m.spectra(chosen)
	case modeCamera:
		results, err = m.camera(ctx, chosen)
	}
	if err != nil {
		return err
	}
	return m.finish(results)
}

// check looks at the flags before anything is read.
func (m *measuring) check() error {
	modes := []string{modeQuick, modeMeter, modeSpectrum, modeCamera}
	if !slices.Contains(modes, m.mode) {
		cure := nearest.DidYouMean(m.mode, modes)
		if cure == "" {
			cure = "write quick, meter, spectrum or camera"
		}
		return usagef(cure, "--mode: %q is no way of measuring", m.mode)
	}
	if m.levels < measure.MinLevels || m.levels > measure.MaxLevels {
		return usagef(fmt.Sprintf("write --levels %d to %d", measure.MinLevels, measure.MaxLevels), "--levels: %d levels", m.levels)
	}
	if m.distance.Metres = 0; m.measureFlags.distance != "" {
		d, err := quantity.ParseLength(m.measureFlags.distance)
		if err != nil {
			return badFlag("distance", err)
		}
		m.distance = d
	}
	if m.measureFlags.lit != "" {
		d, err := quantity.ParseDuration(m.measureFlags.lit)
		if err != nil {
			return badFlag("lit", err)
		}
		m.lit = d.Seconds
	}
	return nil
}

// chosen are the sources to measure, by index.
func (m *measuring) chosen() ([]int, error) {
	var out []int
	rig := m.shoot.Rig
	for _, name := range m.sources {
		i := rig.Index(name)
		if i < 0 {
			return nil, usagef(nearest.DidYouMean(name, sourceNames(rig)), "--source: the rig has no %q", name)
		}
		if !m.measurable(i) {
			return nil, usagef("leave it out", "--source: %q gives no light that can be told levels", name)
		}
		out = append(out, i)
	}
	if m.sources != nil {
		return out, nil
	}
	for i := range rig.Sources {
		if m.measurable(i) {
			out = append(out, i)
		}
	}
	if out == nil {
		return nil, failuref(statusFailed, "write one into rig.toml", "the rig has no light to measure")
	}
	return out, nil
}

// measurable says whether a source can be measured: a light set by hand has one level.
func (m *measuring) measurable(i int) bool {
	s := &m.shoot.Rig.Sources[i]
	if s.Hand {
		return m.mode == modeQuick
	}
	return s.Profile != nil && s.Profile.HasLight()
}

func sourceNames(rig *fixtures.Rig) []string {
	names := make([]string, len(rig.Sources))
	for i := range rig.Sources {
		names[i] = rig.Sources[i].Name
	}
	return names
}

// list prints the readings to take.
func (m *measuring) list(chosen []int) error {
	n := 0
	for _, i := range chosen {
		for _, step := range m.steps(i) {
			n++
			fmt.Fprintf(m.std.Out, "%3d  %s\n", n, clean(step.String()))
		}
	}
	return nil
}

// steps are the readings of a source.
func (m *measuring) steps(i int) []measure.Step {
	s := &m.shoot.Rig.Sources[i]
	switch m.mode {
	case modeQuick:
		return []measure.Step{{Source: s.Name, Control: measure.Whole, Level: 1}}
	case modeSpectrum:
		var steps []measure.Step
		for _, step := range measure.Plan(s.Name, s.Profile, measure.MinLevels) {
			if step.Control != measure.Whole && step.Level == 1 {
				steps = append(steps, step)
			}
		}
		return steps
	}
	return measure.Plan(s.Name, s.Profile, m.levels)
}

// series begins the readings of a source.
func (m *measuring) series(i int, terms measure.Terms) *measure.Series {
	s := &m.shoot.Rig.Sources[i]
	var before *fixtures.Profile
	if s.Calibration != nil {
		before, _ = s.Calibrated() // it was checked when the shoot was read
	}
	return &measure.Series{
		Source: s.Name, Profile: s.Profile, Before: before, Instrument: m.instrument, Note: m.note,
		Date: m.now.Format(time.DateOnly), Distance: m.distance, Terms: terms,
	}
}

// lightResult is what was found of one source.
type lightResult struct {
	source   int
	result   *measure.Result // nil: a light set by hand
	spectral *measure.SpectralResult
	full     float64 // lux, of a light set by hand
	how      string  // what the camera was matched by
}

// reading is what an answer or file says of a source at a step.
func (m *measuring) reading(step measure.Step, a measure.Answer, at fixtures.Origin) measure.Reading {
	return measure.Reading{Origin: at, Source: step.Source, Control: step.Control, Level: step.Level, Lux: a.Lux, XY: a.XY, After: none}
}

// show has the lamp show a step before it is asked about.
func (m *measuring) show(step measure.Step) error {
	if err := m.lamp.Set(step.Source, step.Control, step.Level); err != nil {
		return failuref(statusUnreachable, "the answers are kept: run the same command again", "%s: %v", step, err)
	}
	return nil
}

// sayFindings prints findings, faults last, and says whether there is one.
func sayFindings(std stdio, fs []measure.Finding) (faults int) {
	for _, f := range fs {
		if !f.Fault {
			note(std.Err, "note: %s", f)
		}
	}
	for _, f := range fs {
		if f.Fault {
			note(std.Err, "fault: %s", f)
			faults++
		}
	}
	return faults
}

// inWords joins names as a sentence has them.
func inWords(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
