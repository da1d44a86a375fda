package main

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"

	"limn/cue/files"
	"limn/fixtures"
	"limn/profiles"
	"limn/profiles/measure"
)

// measureOutcome is what is written of one source.
type measureOutcome struct {
	*lightResult
	old, now *fixtures.Calibration // now is the merged one; nil for a light set by hand
	path     string                // within the shoot
}

// finish reports, asks, writes.
func (m *measuring) finish(results []*lightResult) error {
	if len(results) == 0 {
		return failuref(statusFailed, "answer for one light at least", "nothing was measured")
	}
	calibrations, full := map[int][]byte{}, map[int]float64{}
	var outcomes []*measureOutcome
	for _, r := range results {
		if r.result == nil {
			full[r.source] = r.full
			outcomes = append(outcomes, &measureOutcome{lightResult: r})
			continue
		}
		s := &m.shoot.Rig.Sources[r.source]
		o := &measureOutcome{lightResult: r, old: s.Calibration, path: m.calibrationPath(r.source)}
		o.now = measure.Merge(s.Calibration, r.result.Calibration)
		if o.now.Instrument == "" {
			o.now.Instrument = defaultInstrument[m.mode]
		}
		if r.how != "" {
			o.now.Note = withNote(o.now.Note, r.how)
		}
		calibrations[r.source] = profiles.FormatCalibration(o.now)
		outcomes = append(outcomes, o)
	}
	c, err := m.planned(calibrations, full)
	if err != nil {
		return err
	}
	m.reports(outcomes, c)
	var text bytes.Buffer
	for _, o := range outcomes {
		m.reportText(&text, o)
	}
	m.cueText(&text, c)
	if _, err := io.WriteString(m.std.Out, text.String()); err != nil {
		return err
	}
	if m.dryRun {
		note(m.std.Err, "nothing was written")
		return nil
	}
	if !m.yes && m.readings == "" && m.photos == "" {
		ok, err := m.ask.agree("write %s", m.whatIsWritten(outcomes, c))
		if err != nil {
			return err
		}
		if !ok {
			note(m.std.Err, "nothing was written; the answers are kept for the next time")
			return nil
		}
	}
	kept, err := m.write(c)
	if err != nil {
		return err
	}
	for _, k := range kept {
		note(m.std.Err, "kept what was there as %s", k)
	}
	if m.book != nil {
		if err := m.book.done(m.now.Format("2006-01-02")); err != nil {
			return err
		}
	}
	next := "limn check " + m.dir
	if c.shoot != nil {
		next = "limn run " + m.dir
	}
	_, err = fmt.Fprintf(m.std.Out, "wrote %s. Next: %s\n", clean(m.whatIsWritten(outcomes, c)), clean(next))
	return err
}

// defaultInstrument is what a calibration says it was read with where nobody does.
var defaultInstrument = map[string]string{
	modeQuick: "hand meter", modeMeter: "hand meter", modeSpectrum: "hand spectrometer", modeCamera: "camera and grey card",
}

func withNote(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

// whatIsWritten names the files in a sentence.
func (m *measuring) whatIsWritten(outcomes []*measureOutcome, c *measureChange) string {
	n := 0
	single := ""
	for _, o := range outcomes {
		if o.now != nil {
			n++
			single = o.path
		}
	}
	text := count(n, "calibration")
	if n == 1 {
		text = single
	}
	if _, ok := c.files[files.RigFile]; ok {
		if n == 0 {
			return files.RigFile
		}
		text += " and their places in " + files.RigFile
		if n == 1 {
			text = single + " and its place in " + files.RigFile
		}
	}
	return text
}

// reports adds the pictures and pages of each light to what will be written.
func (m *measuring) reports(outcomes []*measureOutcome, c *measureChange) {
	for _, o := range outcomes {
		if o.now == nil || len(o.result.Curves) == 0 {
			continue // one reading tells no curve
		}
		stem := o.path[:len(o.path)-len(filepath.Ext(o.path))]
		pictures := []string{stem + ".response.svg"}
		if svg := gamutPicture(o.Source(m), o.result.Profile, o.old, o.now); svg != nil {
			pictures = append(pictures, stem+".gamut.svg")
			c.files[pictures[1]] = svg
		}
		c.files[stem+".response.svg"] = responsePicture(o.Source(m), o.result)
		var text bytes.Buffer
		m.reportText(&text, o)
		c.files[stem+".report.html"] = reportPage(o.Source(m), text.String(), pictures)
	}
}

// Source is the name of the source.
func (o *measureOutcome) Source(m *measuring) string { return m.shoot.Rig.Sources[o.source].Name }

// reportText is the report of one light in words.
func (m *measuring) reportText(w io.Writer, o *measureOutcome) {
	name := clean(o.Source(m))
	if o.now == nil {
		fmt.Fprintf(w, "%s: %s at full, set by hand\n", name, luxText(o.full))
		return
	}
	r := o.result
	p := r.Profile
	if len(r.Curves) == 0 {
		was := m.shoot.Rig.Sources[o.source].Full
		fmt.Fprintf(w, "%s: %.4g lx at full", name, o.now.MostLux(p))
		if was > 0 {
			fmt.Fprintf(w, ", %s", changeText(o.now.MostLux(p), was))
		}
		fmt.Fprintf(w, ", good to %.2g %%\n", 100*measure.Sum(r.Budget.Lux))
		return
	}
	unit := "lx"
	if !slices.ContainsFunc(o.now.Emitters, func(e fixtures.Measured) bool { return e.Lux > 0 }) && len(o.now.Emitters) > 0 {
		unit = "lm"
	}
	fmt.Fprintf(w, "%s, measured with %s\n", name, clean(o.now.Instrument))
	for i := range r.Curves {
		k := &r.Curves[i]
		fmt.Fprintf(w, "  %s: %.4g %s at full", clean(k.Control), k.Lux, unit)
		if k.XY.Y > 0 {
			fmt.Fprintf(w, ", xy %.4f %.4f", k.XY.X, k.XY.Y)
			if k.BeforeXY.Y > 0 {
				fmt.Fprintf(w, ", %.1f u'v' steps from what it was taken to be", stepsApart(k.XY, k.BeforeXY))
			}
		}
		if k.Holds < 1 && len(k.Points) > 1 {
			fmt.Fprintf(w, ", known down to %.1f stops", -math.Log2(k.Holds))
		}
		if k.Floor > 0 {
			fmt.Fprintf(w, ", dark below code %d", k.Floor)
		}
		fmt.Fprintln(w)
		if len(k.Points) > 1 {
			fmt.Fprintf(w, "    %9s  %9s  %9s  %8s  %s\n", "code", "read", "curve", "left", "colour from full")
			for _, q := range k.Points {
				stray := "-"
				if q.Stray == q.Stray {
					stray = fmt.Sprintf("%.4f", q.Stray)
				}
				left := "       -"
				if q.Residual == q.Residual {
					left = fmt.Sprintf("%+6.2f %%", 100*q.Residual)
				}
				fmt.Fprintf(w, "    %9.0f  %7.4g %%  %7.4g %%  %s  %s\n", q.Level*float64(k.Max), 100*q.Light, 100*q.Fitted, left, stray)
			}
		}
	}
	if n := len(r.Calibration.CCT.Table); n > 0 {
		fmt.Fprintf(w, "  whites: %d, from %s to %s\n", n, r.Calibration.CCT.Table[0].White, r.Calibration.CCT.Table[n-1].White)
	}
	if r.Ambient == r.Ambient {
		fmt.Fprintf(w, "  room: %.3g lx, taken out\n", r.Ambient)
	}
	if r.Drift == r.Drift {
		fmt.Fprintf(w, "  drift: %+.2f %% from the first reference to the last, taken out\n", 100*r.Drift)
	}
	if r.Sum == r.Sum {
		fmt.Fprintf(w, "  its emitters add up to %.1f %% of the whole light\n", 100*r.Sum)
	}
	if o.how != "" {
		fmt.Fprintf(w, "  %s\n", clean(o.how))
	}
	if s := o.spectral; s != nil {
		if s.Why == nil {
			fmt.Fprintf(w, "  all at full: Ra %.0f, SSI[%s] %.0f\n", s.Quality.CRI.Ra, s.Quality.Reference, s.Quality.SSI)
		}
		for _, a := range s.Alone {
			fmt.Fprintf(w, "  %s alone: Ra %.0f, SSI[%s] %.0f\n", clean(a.Control), a.CRI.Ra, a.Reference, a.SSI)
		}
	}
	budgetText(w, "lux at full", r.Budget.Lux, 100, " %")
	if len(r.Budget.Level) > 0 && slices.ContainsFunc(r.Curves, func(k measure.Curve) bool { return len(k.Points) > 1 }) {
		budgetText(w, "level against full", r.Budget.Level, 100, " %")
	}
	budgetText(w, "colour", r.Budget.Colour, 1, " u'v'")
}

// budgetText is one line of an error budget.
func budgetText(w io.Writer, name string, terms []measure.Term, scale float64, unit string) {
	if len(terms) == 0 {
		return
	}
	fmt.Fprintf(w, "  good to (%s): %.2g%s =", name, scale*measure.Sum(terms), unit)
	for i, t := range terms {
		fmt.Fprintf(w, " %s%s %.2g", []string{"", "+ "}[min(i, 1)], t.Name, scale*t.Size)
	}
	fmt.Fprintln(w, ", as a root of squares")
}

// cueText tells what the slots sent until now really give, cue by cue.
func (m *measuring) cueText(w io.Writer, c *measureChange) {
	switch {
	case m.hidden && c.shoot != nil:
		fmt.Fprintln(w, "cues: they had faults until now and have none any more")
		return
	case m.hidden:
		fmt.Fprintln(w, "cues: they have faults still; limn check lists them")
		return
	case c.shoot == nil:
		return
	}
	before, after := compiled(m.shoot.Rig), compiled(c.shoot.Rig)
	if before == nil || after == nil || len(m.shoot.Resolved) != len(c.shoot.Resolved) {
		return
	}
	fmt.Fprintln(w, "cues, what was sent until now against what was asked (from now on it is made up for, as far as the light can):")
	for i := range m.shoot.Resolved {
		res := &m.shoot.Resolved[i]
		sent := files.NewApproval(m.shoot, res, before, settledFrames(m.shoot, res, before))
		found := 0
		for _, d := range sent.AsSent(c.shoot, after) {
			if text := missed(&d); text != "" {
				fmt.Fprintf(w, "  %s: %s\n", clean(res.Name), clean(text))
				found++
			}
		}
		if found == 0 {
			fmt.Fprintf(w, "  %s: as asked\n", clean(res.Name))
		}
	}
}
