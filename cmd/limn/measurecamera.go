package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/profiles/greycard"
	"limn/profiles/measure"
)

// cardShot is one photograph to be read, and what it is of.
type cardShot struct {
	fixtures.Origin
	source int // -1: of a known light
	step   measure.Step
	file   string
	told   greycard.Settings // that somebody wrote by hand; zero = as the file tells
	card   measure.Card
}

// knownLight is a light that is known, with its photographs.
type knownLight struct {
	lux        float64
	xy         colour.XY
	shot, dark *cardShot
}

// camera makes calibrations of photographs of a grey card.
func (m *measuring) camera(ctx context.Context, chosen []int) ([]*lightResult, error) {
	var shots []*cardShot
	var known []*knownLight
	var err error
	switch {
	case m.readings != "":
		shots, known, err = m.shotsFromSheet(chosen)
	case m.photos != "":
		shots, err = m.shotsInOrder(chosen)
	default:
		return nil, usagef("list what to photograph with --plan, then give the folder with --photos card, or name each picture in a --readings FILE.toml",
			"no photographs are named")
	}
	if err != nil {
		return nil, err
	}
	more, err := m.knownByFlag()
	if err != nil {
		return nil, err
	}
	known = append(known, more...)
	if err := m.develop(ctx, shots, known); err != nil {
		return nil, err
	}
	cam, how, err := m.matched(chosen, shots, known)
	if err != nil {
		return nil, err
	}
	bySource := map[int][]measure.Reading{}
	for _, s := range shots {
		q := cam.Read(s.card)
		q.Origin, q.Source, q.Control, q.Level = s.Origin, s.step.Source, s.step.Control, s.step.Level
		q.Lux = max(q.Lux, 0) // what is darker than the dark is the noise of both
		bySource[s.source] = append(bySource[s.source], q)
	}
	note(m.std.Err, "%s", how)
	return m.solve(chosen, bySource, cam.Terms(), how)
}

// shotsInOrder gives the photographs of a folder to the plan, in order.
func (m *measuring) shotsInOrder(chosen []int) ([]*cardShot, error) {
	entries, err := os.ReadDir(m.photos)
	if err != nil {
		return nil, failuref(statusFailed, "name a folder of photographs", "cannot read %s: %v", m.photos, pathCause(err))
	}
	var names []string
	for _, e := range entries {
		switch strings.ToLower(filepath.Ext(e.Name())) {
		case ".tif", ".tiff", ".jpg", ".jpeg":
			names = append(names, filepath.Join(m.photos, e.Name()))
		default:
			if greycard.IsRaw(e.Name()) {
				names = append(names, filepath.Join(m.photos, e.Name()))
			}
		}
	}
	var shots []*cardShot
	for _, i := range chosen {
		for _, step := range m.steps(i) {
			shots = append(shots, &cardShot{source: i, step: step})
		}
	}
	if len(names) != len(shots) {
		return nil, failuref(statusFiles, "compare them with limn measure --mode camera --plan: one is missing or too many; take it out, take it again, or name each in a --readings FILE.toml",
			"%s holds %s, the plan has %d", m.photos, count(len(names), "photograph"), len(shots))
	}
	for k, name := range names {
		shots[k].file, shots[k].Origin = name, fixtures.Origin{}
	}
	return shots, nil
}

func (m *measuring) shotsFromSheet(chosen []int) (shots []*cardShot, known []*knownLight, err error) {
	sheet, err := m.sheet()
	if err != nil {
		return nil, nil, err
	}
	for _, f := range sheet.Photos {
		i, step, err := m.placed(f.Origin, f.Source, f.Control, f.Level, chosen)
		if err != nil {
			return nil, nil, err
		}
		if i >= 0 {
			shots = append(shots, &cardShot{f.Origin, i, step, m.beside(f.File), greycard.Settings{Shutter: f.Shutter, Aperture: f.Aperture, ISO: f.ISO}, measure.Card{}})
		}
	}
	if shots == nil {
		return nil, nil, failuref(statusFiles, "write one [[photo]] for each emitter and level: source, control, level, file", "%s names no photograph of these lights", m.readings)
	}
	for _, k := range sheet.Known {
		told := greycard.Settings{Shutter: k.Shutter, Aperture: k.Aperture, ISO: k.ISO}
		one := &knownLight{lux: k.Lux, xy: k.XY, shot: &cardShot{Origin: k.Origin, source: -1, file: m.beside(k.File), told: told}}
		if k.Dark != "" {
			one.dark = &cardShot{Origin: k.Origin, source: -1, file: m.beside(k.Dark), told: told}
			one.dark.step.Level = 0
		}
		one.shot.step.Level = 1
		known = append(known, one)
	}
	return shots, known, nil
}

// knownByFlag reads --known "FILE=700 lx 2870 K".
func (m *measuring) knownByFlag() (known []*knownLight, err error) {
	for _, text := range m.known {
		file, said, ok := strings.Cut(text, "=")
		a, err := measure.ParseAnswer(said)
		if !ok || err != nil || a.XY.Y == 0 {
			return nil, usagef(`write the file, = and what a meter reads, as --known "card/a.tif=700 lx 2870 K"`, "--known: %q", text)
		}
		k := &knownLight{lux: a.Lux, xy: a.XY, shot: &cardShot{source: -1, file: file}}
		k.shot.step.Level = 1
		known = append(known, k)
	}
	return known, nil
}

// develop reads every photograph, and ends the run where one is not to be believed.
func (m *measuring) develop(ctx context.Context, shots []*cardShot, known []*knownLight) error {
	o := greycard.Options{}
	if m.converter != "" {
		command, err := greycard.ParseConverter(m.converter)
		if err != nil {
			return badFlag("converter", err)
		}
		o.Converter = command
	}
	var region greycard.Region
	if m.region != "" {
		r, err := greycard.ParseRegion(m.region)
		if err != nil {
			return badFlag("region", err)
		}
		region = r
	}
	all := slices.Clone(shots)
	for _, k := range known {
		all = append(all, k.shot)
		if k.dark != nil {
			all = append(all, k.dark)
		}
	}
	// The brightest tell best where the card is.
	slices.SortStableFunc(all, func(a, b *cardShot) int { return int(1e6 * (b.step.Level - a.step.Level)) })
	var series []greycard.Member
	faults, rough := 0, 0
	say := func(fs []greycard.Finding) {
		for _, f := range fs {
			if f.Fault {
				faults++
				note(m.std.Err, "fault: %s", f)
			} else {
				note(m.std.Err, "note: %s", f)
			}
		}
	}
	for _, s := range all {
		p, err := greycard.Open(ctx, s.file, o)
		if err != nil {
			return photoFailure(err)
		}
		m.settings(p, s)
		if region == (greycard.Region{}) {
			if region, err = p.Find(); err != nil {
				return photoFailure(err)
			}
			note(m.std.Err, "the card: %s (left, top in %s); --region says it otherwise", region, s.file)
		}
		patch, err := p.Measure(region)
		if err != nil {
			return photoFailure(err)
		}
		dark := s.step.Level == 0 && s.step.Control != measure.CCT
		fs := p.Findings(patch, dark)
		if p.Rough {
			rough++
			fs = slices.DeleteFunc(fs, func(f greycard.Finding) bool { return !f.Fault && strings.HasPrefix(f.What, "a JPEG") }) // said once, below
		}
		say(fs)
		series = append(series, p.Of(patch, dark))
		s.card = measure.Card{RGB: patch.Mean, Sigma: patch.Sigma, Exposure: p.Settings.Exposure()}
	}
	say(greycard.Compare(series))
	if rough > 0 {
		note(m.std.Err, "note: %s: their tones are bent by the camera, so this is a rough check; give raw files or 16-bit linear TIFFs for a calibration", count(rough, "JPEG"))
	}
	if faults > 0 {
		return failuref(statusFiles, "take those photographs again; the others still count", "%s with the photographs; no calibration was written", count(faults, "fault"))
	}
	return nil
}

// settings lays what was written by hand over what a file tells.
func (m *measuring) settings(p *greycard.Photo, s *cardShot) {
	if s.told.Shutter > 0 {
		p.Settings.Shutter = s.told.Shutter
	}
	if s.told.Aperture > 0 {
		p.Settings.Aperture = s.told.Aperture
	}
	if s.told.ISO > 0 {
		p.Settings.ISO = s.told.ISO
	}
}

func photoFailure(err error) error {
	var e *greycard.Error
	if errors.As(err, &e) {
		return failuref(statusFiles, e.Cure, "%s: %s", e.Path, e.What)
	}
	return said(statusInterrupted) // nothing else ends the reading of a picture
}

// matched is how the camera sees: by lights that are known, else relative to one source
// that is taken to be as the rig knows it.
func (m *measuring) matched(chosen []int, shots []*cardShot, known []*knownLight) (*measure.Camera, string, error) {
	var lights []measure.Known
	for _, k := range known {
		l := measure.Known{Card: k.shot.card, Lux: k.lux, XY: k.xy}
		if k.dark != nil {
			l.Dark = k.dark.card
		}
		lights = append(lights, l)
	}
	if len(lights) > 0 {
		cam, err := measure.NewCamera(lights, measure.SRGBBase())
		if err != nil {
			return nil, "", failuref(statusFailed, "photograph them in the middle of the camera's range", "the known lights tell nothing: %v", err)
		}
		if cam.Relative {
			return cam, fmt.Sprintf("relative: %s of too few colours to tell how the camera sees; lights like them compare well, coloured ones badly", count(len(lights), "known light")), nil
		}
		how := fmt.Sprintf("absolute: the camera is fitted to %s by a 3x3 matrix", count(len(lights), "known light"))
		if cam.Lights > 3 {
			how += fmt.Sprintf(", which leaves %.2g %% and %.4f u'v'", 100*cam.RMS, cam.Blur)
		} else {
			how += "; three leave nothing over and so hide their error: five are better"
		}
		return cam, how, nil
	}
	ref := chosen[0]
	if m.reference != "" {
		if ref = m.shoot.Rig.Index(m.reference); ref < 0 {
			return nil, "", usagef("the rig has "+inWords(sourceNames(m.shoot.Rig)), "the reference %q is no light", m.reference)
		}
	}
	src := &m.shoot.Rig.Sources[ref]
	k := measure.Known{Lux: src.Full}
	var dark *cardShot
	for _, s := range shots {
		if s.source != ref || s.step.Control != measure.Whole {
			continue
		}
		if s.step.Level == 0 {
			dark = s
		} else if k.Card.Exposure == 0 {
			k.Card = s.card
		}
	}
	if k.Card.Exposure == 0 {
		return nil, "", failuref(statusFiles, "photograph it with everything at full (control = \"all\"), or give lights that are known", "no photograph of the whole of %s, which the others are to be matched to", src.Name)
	}
	if dark != nil {
		k.Dark = dark.card
	}
	own, err := src.Calibrated()
	if err != nil {
		return nil, "", failuref(statusFiles, "", "%v", err)
	}
	xy, ok := measure.FullWhite(own)
	if !ok {
		return nil, "", failuref(statusFailed, "give lights that are known, with --known", "nobody knows which white %s has at full", src.Name)
	}
	k.XY = xy
	unit := "lux of the rig"
	if k.Lux == 0 {
		m.relative = true
		for i := range own.Emitters {
			k.Lux += own.Emitters[i].Flux
		}
		if own.Flux > 0 {
			k.Lux = own.Flux
		}
		unit = "lumens of the profile"
	}
	cam, err := measure.NewCamera([]measure.Known{k}, measure.SRGBBase())
	if err != nil {
		return nil, "", failuref(statusFailed, "photograph it in the middle of the camera's range", "the reference %s tells nothing: %v", src.Name, err)
	}
	return cam, fmt.Sprintf("relative: no light is known, so %s is taken to be as it stands, in %s; lights of its kind compare well, coloured ones badly", src.Name, unit), nil
}
