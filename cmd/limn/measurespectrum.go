package main

import (
	"bytes"
	"encoding/csv"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"limn/profiles/measure"
)

// spectra makes calibrations of one spectrum for each emitter, out of a sheet, or asked
// for by the names of their files.
func (m *measuring) spectra(chosen []int) ([]*lightResult, error) {
	bySource := map[int][]measure.Spectral{}
	var err error
	if m.readings != "" {
		err = m.spectraFromSheet(chosen, bySource)
	} else {
		err = m.askSpectra(chosen, bySource)
	}
	if err != nil {
		return nil, err
	}
	var results []*lightResult
	faults := 0
	for _, i := range chosen {
		if len(bySource[i]) == 0 {
			continue
		}
		series := m.series(i, measure.Terms{Class: 0.05, Repeat: 0.01, Colour: 0.002}) // of a hand spectrometer; common practice, no source
		r, err := series.FromSpectra(bySource[i], m.absolute)
		if err != nil {
			return nil, solveFailure(series.Source, err)
		}
		faults += sayFindings(m.std, r.Findings)
		results = append(results, &lightResult{source: i, result: &r.Result, spectral: r})
	}
	if faults > 0 {
		return nil, m.faulty()
	}
	return results, nil
}

func (m *measuring) spectraFromSheet(chosen []int, out map[int][]measure.Spectral) error {
	sheet, err := m.sheet()
	if err != nil {
		return err
	}
	for _, f := range sheet.Spectra {
		i, step, err := m.placed(f.Origin, f.Source, f.Control, f.Level, chosen)
		if err != nil {
			return err
		}
		if i < 0 {
			continue
		}
		s, err := readSpectrum(m.beside(f.File), m.std)
		if err != nil {
			return err
		}
		out[i] = append(out[i], measure.Spectral{Control: step.Control, Spectrum: s})
	}
	if len(out) == 0 {
		return failuref(statusFiles, "write one [[spectrum]] for each emitter: source, control, file", "%s names no spectrum of these lights", m.readings)
	}
	return nil
}

// beside is the path of a file that a sheet names: beside the sheet.
func (m *measuring) beside(file string) string {
	if filepath.IsAbs(file) {
		return file
	}
	return filepath.Join(filepath.Dir(m.readings), filepath.FromSlash(file))
}

// askSpectra asks for the file of each emitter. The names are kept at once and stand
// ready the next time.
func (m *measuring) askSpectra(chosen []int, out map[int][]measure.Spectral) error {
	note(m.std.Err, "Each emitter alone at full. Write the name of its spectrum file: wavelength_nm,power, a line each. skip leaves one out.")
	kept := m.keptSpectra()
	for _, i := range chosen {
		for _, step := range m.steps(i) {
			if step.Control == measure.CCT {
				continue
			}
			if err := m.show(step); err != nil {
				return err
			}
			key := [2]string{step.Source, step.Control}
			for {
				file, err := m.ask.ask(kept[key], "%s: %s: file", step.Source, step.Control)
				if err != nil {
					return err
				}
				if file == wordSkip || file == "" {
					break
				}
				s, err := readSpectrum(file, m.std)
				if err != nil {
					note(m.std.Err, "%v", err)
					continue
				}
				kept[key] = file
				if err := m.keepSpectra(kept); err != nil {
					return err
				}
				out[i] = append(out[i], measure.Spectral{Control: step.Control, Spectrum: s})
				break
			}
		}
	}
	return nil
}

// spectraFile holds the names of files typed for spectra: source, control, file.
func (m *measuring) spectraFile() string { return filepath.Join(measureDir(m.dir), "spectra.csv") }

func (m *measuring) keptSpectra() map[[2]string]string {
	kept := map[[2]string]string{}
	f, err := os.Open(m.spectraFile())
	if err != nil {
		return kept // nothing was kept
	}
	defer f.Close()
	in := csv.NewReader(io.LimitReader(f, maxAnswers))
	in.FieldsPerRecord = 3
	for {
		row, err := in.Read()
		if err != nil {
			return kept // what can be read of it stands ready; all of it is asked again
		}
		kept[[2]string{row[0], row[1]}] = row[2]
	}
}

func (m *measuring) keepSpectra(kept map[[2]string]string) error {
	if err := os.MkdirAll(measureDir(m.dir), 0o777); err != nil {
		return failuref(statusFailed, "", "cannot make %s: %v", measureDir(m.dir), pathCause(err))
	}
	var b bytes.Buffer
	out := csv.NewWriter(&b)
	keys := slices.SortedFunc(maps.Keys(kept), func(a, b [2]string) int { return slices.Compare(a[:], b[:]) })
	for _, k := range keys {
		must(out.Write([]string{k[0], k[1], kept[k]})) // into memory
	}
	out.Flush()
	return writeFile(m.spectraFile(), b.Bytes())
}
