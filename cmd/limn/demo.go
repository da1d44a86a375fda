package main

import (
	"context"
	"fmt"
	"io"
	"net/netip"
	"time"

	"github.com/spf13/cobra"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/operate"
	"limn/dmx/artnet"
	"limn/fixtures/colour"
	"limn/testdata"
)

const (
	demoOutput  = "demo"
	demoPace    = 4.0                    // seconds from one angle to the next
	drawEvery   = 100 * time.Millisecond // of the live table
	drainWithin = 2 * time.Second        // for the last datagrams to arrive
	drainLook   = 5 * time.Millisecond
	demoDir     = "kittiwake"
)

func newDemo(std stdio) *cobra.Command {
	var forT duration
	pace := duration{seconds: demoPace, text: fmt.Sprintf("%gs", demoPace)}
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "See a shoot played and read back, with nothing plugged in",
		Long: `Plays a small shoot of its own: "Kittiwake", a 1:12 varnished motor launch, angle
by angle, sent as Art-Net over this machine's loopback to a receiver that reads
the slots back into light. Needs no lights, no network and no files, and leaves
none. Ctrl-C ends it.`,
		Example: `  limn demo
  limn demo --for 20s
  limn demo --pace 2s`,
		GroupID: groupBench,
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if pace.seconds <= 0 {
				return usagef("write for example --pace 2s", "--pace: %q leaves no time to look", pace.text)
			}
			return demo(cmd.Context(), forT, pace.std(), std)
		},
	}
	fl := cmd.Flags()
	fl.Var(&forT, "for", "end after this `TIME` (\"20s\"); else Ctrl-C ends it")
	fl.Var(&pace, "pace", "`TIME` from one angle to the next")
	return cmd
}

// show is the demo while it runs.
type show struct {
	shoot    *cue.Shoot
	stage    *stage
	receiver *artnet.Receiver
	output   *artnet.Output
	heard    *reception
	told     *reader
	angles   int      // cues begun
	since    int64    // frame this one began in
	hands    []string // what hands had to do for this one; nobody is there, so it counts as done
	snap     cue.Snapshot
}

func demo(ctx context.Context, forT duration, pace time.Duration, std stdio) error {
	s, err := newShow()
	if err != nil {
		return err
	}
	defer s.receiver.Close()
	ctx, cancel := forTime(ctx, forT)
	defer cancel()
	start := time.Now()
	if canRedraw(std.Out) {
		p := &livePicture{w: std.Out}
		err = s.play(ctx, pace, p.show)
		p.leave()
	} else {
		_, err = fmt.Fprintf(std.Out, "playing %s to %s by Art-Net\n", s.shoot.Subject.Name, s.receiver.Addr())
		if err == nil {
			err = s.play(ctx, pace, plainScenes(std.Out))
		}
	}
	if err != nil {
		return err
	}
	sent, received, lost := s.totals()
	_, err = fmt.Fprintf(std.Out, "\n%s: %s in %.0f s over Art-Net on %s\nsent %d, received %d, lost %d\n",
		s.shoot.Subject.Name, count(s.angles, "cue"), time.Since(start).Seconds(), s.receiver.Addr(), sent, received, lost)
	if err != nil {
		return err
	}
	if lost > 0 {
		return failuref(statusFailed, "this machine may be too busy to read its own network; close something and try again",
			"%s went missing on the loopback", count(int(lost), "datagram"))
	}
	return ended(ctx)
}

// plainScenes prints one scene a cue.
func plainScenes(w io.Writer) func(*scene, bool) error {
	return func(sc *scene, kept bool) error {
		if !kept {
			return nil
		}
		_, err := io.WriteString(w, "\n"+sc.view(plainWidth, 0))
		return err
	}
}

// newShow puts the embedded shoot on a receiver of its own.
func newShow() (*show, error) {
	shoot, problems := files.Load(demoDir, testdata.Kittiwake())
	if shoot == nil {
		return nil, failuref(statusFailed, "", "the built-in shoot does not load: %v", problems)
	}
	s := &show{shoot: shoot, heard: &reception{}}
	var err error
	if s.told, err = newReader(shoot); err != nil {
		return nil, err
	}
	s.receiver, err = artnet.Listen(netip.MustParseAddrPort("127.0.0.1:0"), s.heard.heard)
	if err != nil {
		return nil, failuref(statusUnreachable, "the demo needs one free UDP port on 127.0.0.1", "cannot listen: %v", err)
	}
	s.output, err = artnet.NewOutput(artnet.Config{
		Name: demoOutput, To: []netip.AddrPort{s.receiver.Addr()}, Universes: universes(s.told.renderer.Universes()),
	})
	if err != nil {
		s.receiver.Close()
		return nil, failuref(statusUnreachable, "", "%v", err)
	}
	s.stage, err = newStage(shoot, []opened{{s.output, false}}, map[string]string{demoOutput: cue.Leave},
		operate.Options{AutoConfirm: true}, nil)
	if err != nil {
		s.receiver.Close()
		return nil, err
	}
	return s, nil
}

// play steps through the cues, round and round, and shows each instant. kept is
// true for one instant of each cue: when it has settled, or else its last.
func (s *show) play(ctx context.Context, pace time.Duration, show func(sc *scene, kept bool) error) error {
	s.stage.start()
	step, draw := time.NewTicker(pace), time.NewTicker(drawEvery)
	defer step.Stop()
	defer draw.Stop()
	s.step()
	var err error
	for kept := false; err == nil && ctx.Err() == nil; {
		select {
		case <-ctx.Done():
			if !kept {
				err = show(s.scene(), true)
			}
		case <-step.C:
			if !kept {
				err = show(s.scene(), true)
			}
			s.step()
			kept = false
		case <-draw.C:
			sc := s.scene()
			now := sc.motion == cue.Settled && s.snap.K >= s.since && !kept
			kept = kept || now
			err = show(sc, now)
		}
	}
	if e := s.stage.end(); err == nil {
		err = e
	}
	return err
}

// step goes to the next cue, from the last to the first.
func (s *show) step() {
	c := operate.Command{Verb: operate.Next}
	if s.angles > 0 && s.angles%len(s.shoot.Cues) == 0 {
		c = operate.Command{Verb: operate.Go, Name: s.shoot.Cues[0].Name}
	}
	reply := s.stage.engine.Do(c)
	s.since, s.hands = reply.K, reply.Prompts
	s.angles++
}

// scene is this instant, asked and received.
func (s *show) scene() *scene {
	s.stage.engine.Snapshot(&s.snap)
	sc := &scene{
		subject: s.shoot.Subject.Name, scale: s.shoot.Subject.Scale, where: s.receiver.Addr().String(),
		cue: s.snap.CueName, azimuth: s.snap.Azimuth, motion: s.snap.Motion, progress: s.snap.Progress,
		hands: s.hands,
	}
	if s.snap.Next >= 0 {
		sc.next = s.shoot.Cues[s.snap.Next].Name
	}
	if s.snap.Cue >= 0 {
		sc.angle = s.shoot.Resolved[s.snap.Cue].Angle
		sc.limits = limits(s.shoot, s.snap.Cue)
	}
	for _, l := range s.told.read(s.heard) {
		src, now := &s.shoot.Rig.Sources[l.source], &s.snap.Sources[l.source]
		sc.rows = append(sc.rows, sceneRow{
			name: src.Name, role: string(src.Role), hand: src.Hand, key: src.Role == "key",
			stops: now.KeyStops, asked: now.Asked, read: l.light, level: l.level,
		})
	}
	sc.sent, sc.received, sc.lost = s.counts()
	return sc
}

// limits names the sources that cannot make the colour a cue asks of them, if
// the difference shows in the figures.
func limits(shoot *cue.Shoot, at int) []string {
	var out []string
	for i, l := range shoot.Resolved[at].Light {
		xy, ok := l.Asked.XY()
		if !ok {
			continue
		}
		asked, aim := shortColour(l.Asked), shortColour(l.Aim.XYZ(1))
		if asked != aim {
			out = append(out, fmt.Sprintf("%s cannot make %s: nearest %s, %s",
				shoot.Rig.Sources[i].Name, asked, aim, stepsText(colour.Steps(xy, l.Aim))))
		}
	}
	return out
}

// counts are the datagrams sent and received so far, and those known to be
// missing by their sequence numbers.
func (s *show) counts() (sent, received, lost int64) {
	received, lost = s.heard.totals()
	return max(s.output.Sent(), received), received, lost // a datagram is counted once it is under way
}

// totals waits for what is still under way, then counts as lost whatever was
// sent and has not come, or left a gap in the numbers.
func (s *show) totals() (sent, received, lost int64) {
	look := time.NewTicker(drainLook)
	defer look.Stop()
	limit := time.NewTimer(drainWithin)
	defer limit.Stop()
	for {
		if sent, received, lost = s.counts(); received >= sent {
			return sent, received, lost
		}
		select {
		case <-look.C:
		case <-limit.C:
			return sent, received, max(lost, sent-received)
		}
	}
}
