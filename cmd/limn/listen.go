package main

import (
	"context"
	"errors"
	"time"

	"github.com/spf13/cobra"

	"limn/cue"
	"limn/dmx/artnet"
	"limn/dmx/sacn"
)

// reportEvery is the rhythm of what listen prints.
const reportEvery = time.Second

type listenFlags struct {
	artnet string
	sacn   string
	iface  string
	chosen bool // --universe was given
	shoot  string
	forT   duration
	slots  bool
	json   bool
	record string
	play   string
	rigFlags
}

func newListen(std stdio) *cobra.Command {
	var f listenFlags
	cmd := &cobra.Command{
		Use:   "listen",
		Short: "Show what arrives over Art-Net and sACN, universe by universe",
		Long: `Listens for Art-Net and sACN and shows, about once a second, what arrives: senders,
priorities, rates, jitter, gaps, two senders on one universe, and the slots that
changed, universe by universe. With a shoot it also reads the slots back into light:
what each source is being told. It hears this machine alone, unless --interface or
an address says otherwise.

--record keeps what arrives in a file, JSON line by line, in an open form; --play
sends such a file out again, to the outputs of a shoot or to one address. Caution:
that lights lights and may move what moves.`,
		Example: `  limn listen                                       # this machine only
  limn listen --interface eth0 --shoot harbour
  limn listen --artnet 127.0.0.1:6454 --slots
  limn listen --sacn 127.0.0.1 --json --for 1min
  limn listen --interface eth0 --record rehearsal.jsonl
  limn listen --play rehearsal.jsonl --to 192.168.1.50`,
		GroupID: groupBench,
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := exclusive(cmd, "play", "record"); err != nil {
				return err
			}
			f.chosen = cmd.Flags().Changed("universe")
			if f.play != "" {
				return f.playBack(cmd.Context(), std)
			}
			return listen(cmd.Context(), f, std)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&f.artnet, "artnet", "", "listen for Art-Net on `ADDR:PORT`; port 0 picks one")
	fl.StringVar(&f.sacn, "sacn", "", "listen for sACN on `ADDR:PORT`; port 0 picks one")
	fl.StringVar(&f.iface, "interface", "", "listen on a network `INTERFACE` (name or own address), multicast included")
	f.rigFlags.add(fl)
	fl.Lookup("universe").Usage = "the `UNIVERSE`s to hear by sACN multicast (1 to 16, or the shoot's), or to play to"
	fl.StringVar(&f.shoot, "shoot", "", "read the slots back into light with the rig of the shoot in `DIR`, or play to its outputs")
	fl.Var(&f.forT, "for", "end after this `TIME` (\"20s\"); else Ctrl-C ends it")
	fl.BoolVar(&f.slots, "slots", false, "show the slots of each universe as a table")
	fl.BoolVar(&f.json, "json", false, "print one JSON object a second")
	fl.StringVar(&f.record, "record", "", "keep what arrives in `FILE`")
	fl.StringVar(&f.play, "play", "", "send what `FILE` holds")
	must(cmd.MarkFlagDirname("shoot"))
	must(cmd.MarkFlagFilename("play"))
	return cmd
}

func listen(ctx context.Context, f listenFlags, std stdio) error {
	var told *reader
	var shoot *cue.Shoot
	if f.shoot != "" {
		var err error
		if shoot, err = openShoot(f.shoot, std); err != nil {
			return err
		}
		if told, err = newReader(shoot); err != nil {
			return err
		}
	}
	heard, err := f.open(ctx, told, std)
	if err != nil {
		return err
	}
	defer heard.close()
	if f.record != "" {
		if err := heard.record(f.record); err != nil {
			return err
		}
	}
	ctx, cancel := forTime(ctx, f.forT)
	defer cancel()
	view := listenView{out: std.Out, json: f.json, slots: f.slots, told: told}
	if !f.json && canRedraw(std.Out) {
		view.picture = &livePicture{w: std.Out}
		defer view.picture.leave()
	}
	err = view.follow(ctx, heard)
	if e := heard.close(); err == nil || e != nil {
		err = errors.Join(e, err)
	}
	if e := heard.keeper.end(std); e != nil {
		return e
	}
	return err
}

// follow shows what is heard until the context ends.
func (v *listenView) follow(ctx context.Context, heard *hearing) error {
	start := time.Now()
	tick := time.NewTicker(reportEvery)
	defer tick.Stop()
	last := start
	for {
		select {
		case <-ctx.Done():
			now := time.Now() // what came since the last report
			if err := v.show(now.Sub(start), now.Sub(last), heard); err != nil {
				return err
			}
			return ended(ctx)
		case now := <-tick.C:
			if err := v.show(now.Sub(start), now.Sub(last), heard); err != nil {
				return err
			}
			last = now
		}
	}
}

// errTimeUp ends a command that was told how long to go on.
var errTimeUp = errors.New("the time is up")

// forTime bounds a context by --for, if it was given.
func forTime(ctx context.Context, d duration) (context.Context, context.CancelFunc) {
	if !d.given() {
		return context.WithCancel(ctx)
	}
	return context.WithTimeoutCause(ctx, d.std(), errTimeUp)
}

// ended is the exit status of a command whose context is over: done when its
// time was up or a service manager asked, interrupted when someone pressed Ctrl-C.
func ended(ctx context.Context) error {
	if cause := context.Cause(ctx); errors.Is(cause, errTimeUp) || errors.Is(cause, errTerminated) {
		return nil
	}
	return said(statusInterrupted)
}

// hearing is what listen listens with.
type hearing struct {
	artnet []*artnet.Receiver
	sacn   *sacn.Receiver
	heard  *reception
	keeper *keeper // nil: nothing is recorded
}

// close ends the listening. A second close does nothing.
func (h *hearing) close() error {
	var errs []error
	for _, r := range h.artnet {
		errs = append(errs, r.Close())
	}
	if h.sacn != nil {
		errs = append(errs, h.sacn.Close())
	}
	return errors.Join(errs...)
}

// refused counts what was no good packet.
func (h *hearing) refused() int64 {
	var n int64
	for _, r := range h.artnet {
		n += r.Refused()
	}
	if h.sacn != nil {
		n += h.sacn.Counters().Malformed
	}
	return n
}

// air is what sACN was heard, by universe.
func (h *hearing) air() []sacn.Universe {
	if h.sacn == nil {
		return nil
	}
	return h.sacn.Universes()
}
