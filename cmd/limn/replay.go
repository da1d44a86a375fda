package main

import (
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"os"
	"path/filepath"
	"runtime"

	"github.com/spf13/cobra"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/journal"
	"limn/cue/operate"
	"limn/cue/timeline"
	"limn/dmx"
	"limn/dmx/pace"
	"limn/fixtures/colour"
)

type replayFlags struct {
	json    bool
	changes bool
}

func newReplay(std stdio) *cobra.Command {
	var f replayFlags
	cmd := &cobra.Command{
		Use:   "replay [LOG]",
		Short: "Play the journal of a run again, and prove its frames",
		Long: `Plays the journal of a run again on a virtual clock, under the files the run had: the
same commands in the same frames give the same slots, byte for byte. Wherever the run
noted what it sent, the frames are compared, and the first that differs is named.
LOG is a journal, or a shoot's folder, which stands for its last run; without it, that
of this folder. Nothing is sent and no file is changed.`,
		Example: `  limn replay
  limn replay harbour
  limn replay harbour/.limn/journal/run-000042.jsonl --json --changes > day.jsonl`,
		GroupID: groupBench,
		Args:    atMostOne,
		RunE: func(cmd *cobra.Command, args []string) error {
			at := "."
			if len(args) > 0 {
				at = args[0]
			}
			return replay(cmd.Context(), at, f, std)
		},
	}
	fl := cmd.Flags()
	fl.BoolVar(&f.json, "json", false, "print one JSON object a frame, as trace does")
	fl.BoolVar(&f.changes, "changes", false, "with --json: leave out frames that repeat the one before")
	return cmd
}

// replay plays one journal again.
func replay(ctx context.Context, at string, f replayFlags, std stdio) error {
	if f.changes && !f.json {
		return usagef("add --json, or leave --changes out", "--changes goes with --json")
	}
	run, dir, err := openLog(at)
	if err != nil {
		return err
	}
	for _, why := range inexact(run) {
		note(std.Err, "%s", why)
	}
	kept, first, err := filesOfRun(run, dir)
	if err != nil {
		return failuref(statusFailed, "bring the folder back to what it was then; limn keeps earlier versions in .limn/history",
			"%s: %v", run.Path, err)
	}
	a, err := playAgain(dir, first, kept, nil)
	if err != nil {
		return failuref(statusFailed, "", "%s: %v", run.Path, err)
	}
	out := bufio.NewWriterSize(std.Out, 1<<16)
	p := &proof{engine: a.engine, settles: settlesOf(run), digest: sha256.New()}
	if f.json {
		p.json = &frameTeller{out: out, changes: f.changes, engine: a.engine}
	}
	a.visit = func(k int64, frames []dmx.Frame, live bool) error {
		if k%lookEvery == 0 && ctx.Err() != nil {
			return ended(ctx)
		}
		return p.frame(k, frames, live)
	}
	err = a.all(run, func(s journal.Entry) {
		if s.What == journal.KindCommand && !f.json {
			fmt.Fprintf(out, "%11.3f s  %s\n", seconds(s.K), clean(s.Text))
		}
	})
	if e := out.Flush(); err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	summary := std.Out
	if f.json {
		summary = std.Err
	}
	note(summary, "%s, %s, %s", run.Begun.Format("2006-01-02 15:04"), count(run.Commands, "command"), howEnded(run))
	proved := "the run noted none of them to compare"
	if p.same > 0 {
		proved = "byte for byte what was sent at " + count(p.same, "settle")
	}
	note(summary, "%s, %s; fingerprint %s", count(int(p.frames), "frame"), proved, hex.EncodeToString(p.digest.Sum(nil)[:8]))
	return nil
}

// openLog reads a journal, or the last one of a folder. dir is the shoot that it is of.
func openLog(at string) (run *journal.Run, dir string, err error) {
	info, err := os.Stat(at)
	switch {
	case err != nil:
		return nil, "", failuref(statusFailed, "name the journal of a run, or the folder of a shoot", "cannot read %s: %v", at, pathCause(err))
	case info.IsDir():
		dir = at
		run, err = journal.Last(dir)
	default:
		dir = filepath.Dir(filepath.Dir(filepath.Dir(at))) // SHOOT/.limn/journal/run-N.jsonl
		run, err = journal.ReadLog(at)
	}
	switch {
	case err != nil:
		return nil, "", failuref(statusFailed, "", "%v", err)
	case run == nil:
		return nil, "", failuref(statusFailed, "limn run keeps a journal of what it does; name one, or the folder of a shoot",
			"no run of %s is on record", dir)
	}
	return run, dir, nil
}

// inexact is all that may make the frames differ, in words.
func inexact(run *journal.Run) (why []string) {
	if text := run.Inexact(); text != "" {
		why = append(why, text)
	}
	for _, h := range []journal.Header{run.Header, run.Latest} {
		text := ""
		switch {
		case h.Program != versionText():
			text = fmt.Sprintf("the run was played by limn %s, this is %s; frames may differ", h.Program, versionText())
		case h.Arch != "" && h.Arch != runtime.GOARCH:
			text = fmt.Sprintf("the run was played on %s, this is %s; frames may differ", h.Arch, runtime.GOARCH)
		}
		if text != "" && (len(why) == 0 || why[len(why)-1] != text) {
			why = append(why, text)
		}
	}
	return why
}

// filesOfRun gives the files of a run: those that were kept with it, else those of the folder
// where they are the same.
func filesOfRun(run *journal.Run, dir string) (kept func(hash string) (journal.Files, error), first journal.Files, err error) {
	var present journal.Files
	presentHash := ""
	kept = func(hash string) (journal.Files, error) {
		set, err := run.Files(hash)
		if err == nil {
			return set, nil
		}
		if presentHash == "" {
			presentHash = "none"
			if folder, shoot, _, e := files.Open(dir); e == nil && shoot != nil {
				present = shootFiles(folder, dir)
				presentHash = present.Hash()
			}
		}
		if hash == presentHash {
			return present, nil
		}
		return nil, err
	}
	if first, err = run.FirstFiles(); err == nil {
		return kept, first, nil
	}
	for e := range run.Entries() {
		if e.What == journal.KindBegin {
			first, err = kept(e.Files)
		}
		break
	}
	return kept, first, err
}

// all plays a run from its first frame to the last that is on record.
func (a *again) all(run *journal.Run, say func(journal.Entry)) error {
	for s, err := range run.Steps() {
		if err != nil {
			return failuref(statusFailed, "", "reading %s: %v", run.Path, err)
		}
		var step *stepError
		if err := a.step(s); errors.As(err, &step) {
			return failuref(statusFailed, "", "frame %d (%.3f s): %s", s.K, seconds(s.K), step)
		} else if err != nil {
			return err
		}
		say(s)
	}
	return a.to(run.Reached + 1)
}

// settlesOf are the fingerprints of the frames that the run noted, by frame.
func settlesOf(run *journal.Run) map[int64]string {
	sums := map[int64]string{}
	for e, err := range run.Entries() {
		if err == nil && e.What == journal.KindSettle && e.State != nil && e.State.Slots != "" {
			sums[e.K] = e.State.Slots
		}
	}
	return sums
}

func howEnded(run *journal.Run) string {
	text := "broken off"
	if run.Ended {
		text = "ended"
	}
	if run.Resumed > 0 {
		text += ", taken up " + count(run.Resumed, "time")
	}
	return text
}

// seconds is the time of a frame from the beginning of its run.
func seconds(k int64) float64 { return pace.Offset(max(k, 0)).Seconds() }

// proof compares frames with what a run noted of them.
type proof struct {
	engine  *operate.Engine
	settles map[int64]string
	same    int
	frames  int64
	digest  hash.Hash // of all frames with their numbers
	json    *frameTeller
}

func (p *proof) frame(k int64, frames []dmx.Frame, live bool) error {
	if live {
		p.frames++
		var number [8]byte
		binary.BigEndian.PutUint64(number[:], uint64(k))
		p.digest.Write(number[:])
		for i := range frames {
			p.digest.Write(frames[i][:])
		}
	}
	if want, noted := p.settles[k]; noted {
		if got := journal.FrameSum(frames); !live || got != want {
			var snap cue.Snapshot
			p.engine.Snapshot(&snap)
			return failuref(statusFailed, "", "frame %d (%.3f s, %s) is not what was sent: %s, then %s", k, seconds(k), snap.CueName, got, want)
		}
		p.same++
	}
	if p.json != nil {
		return p.json.frame(k, frames)
	}
	return nil
}

// frameTeller prints frames as trace does.
type frameTeller struct {
	out     *bufio.Writer
	changes bool
	engine  *operate.Engine

	shoot *cue.Shoot // that trace prints the sources of
	trace *jsonTrace
	snap  cue.Snapshot
	told  operate.Frame
}

func (t *frameTeller) frame(k int64, frames []dmx.Frame) error {
	if shoot := t.engine.Shoot(); shoot != t.shoot {
		t.shoot = shoot
		t.trace = newJSONTrace(shoot, t.engine.Universes(), t.out, t.changes, false)
		white := shoot.Camera.White.XY()
		n := len(shoot.Rig.Sources)
		t.told.Asked, t.told.Reached = make([]operate.Told, n), make([]operate.Told, n)
		for i := range n {
			t.told.Asked[i].XY, t.told.Reached[i].XY = white, white
		}
	}
	t.engine.Snapshot(&t.snap)
	f := &t.told
	f.K, f.Cue, f.Azimuth, f.Frames = k, t.snap.CueName, t.snap.Azimuth, frames
	f.Status = timeline.Status{Motion: t.snap.Motion}
	for i := range min(len(f.Asked), len(t.snap.Sources)) {
		tell(&f.Asked[i], t.snap.Sources[i].Asked)
		tell(&f.Reached[i], t.snap.Sources[i].Reached)
	}
	return t.trace.frame(f)
}

// tell turns light into figures; the dark keeps the chromaticity there was.
func tell(to *operate.Told, light colour.XYZ) {
	if xy, ok := light.XY(); ok {
		to.XY = xy
	}
	to.Y = light.Y
}
