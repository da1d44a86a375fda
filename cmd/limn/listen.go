package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"limn/dmx/artnet"
)

// reportEvery is the rhythm of what listen prints.
const reportEvery = time.Second

type listenFlags struct {
	artnet string
	shoot  string
	forT   duration
	json   bool
}

func newListen(std stdio) *cobra.Command {
	var f listenFlags
	cmd := &cobra.Command{
		Use:   "listen",
		Short: "Show what arrives over Art-Net, universe by universe",
		Long: `Listens for Art-Net and shows, about once a second, what arrives: sender, rate,
gaps in the sequence and the slots that changed, universe by universe. With a
shoot it also reads the slots back into light: what each source is being told.`,
		Example: `  limn listen                                       # this machine only
  limn listen --artnet 127.0.0.1:6454 --shoot harbour
  limn listen --artnet 0.0.0.0:6454 --json --for 1min`,
		GroupID: groupBench,
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return listen(cmd.Context(), f, std)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&f.artnet, "artnet", fmt.Sprintf("127.0.0.1:%d", artnet.Port), "`ADDR:PORT` to listen on; port 0 picks one")
	fl.StringVar(&f.shoot, "shoot", "", "read the slots back into light with the rig of the shoot in `DIR`")
	fl.Var(&f.forT, "for", "end after this `TIME` (\"20s\"); else Ctrl-C ends it")
	fl.BoolVar(&f.json, "json", false, "print one JSON object a second")
	must(cmd.MarkFlagDirname("shoot"))
	return cmd
}

func listen(ctx context.Context, f listenFlags, std stdio) error {
	var told *reader
	if f.shoot != "" {
		shoot, err := openShoot(f.shoot, std)
		if err != nil {
			return err
		}
		if told, err = newReader(shoot); err != nil {
			return err
		}
	}
	addr, err := parseAddress(ctx, f.artnet, artnet.Port)
	if err != nil {
		return usagef("limn listen --artnet 127.0.0.1:6454", "--artnet %q: %v", f.artnet, err)
	}
	heard := &reception{}
	receiver, err := artnet.Listen(addr, heard.heard)
	if err != nil {
		return failuref(statusUnreachable, "another program may hold the port; give another one by --artnet, or end that program",
			"cannot listen on %s: %v", addr, err)
	}
	defer receiver.Close()
	note(std.Err, "listening for Art-Net on %s; Ctrl-C ends it", receiver.Addr())

	ctx, cancel := forTime(ctx, f.forT)
	defer cancel()
	view := listenView{out: std.Out, json: f.json, told: told}
	if !f.json && canRedraw(std.Out) {
		view.picture = &livePicture{w: std.Out}
		defer view.picture.leave()
	}
	start := time.Now()
	tick := time.NewTicker(reportEvery)
	defer tick.Stop()
	last := start
	for {
		select {
		case <-ctx.Done():
			now := time.Now() // what came since the last report
			if err := view.show(now.Sub(start), now.Sub(last), heard, receiver.Refused()); err != nil {
				return err
			}
			return ended(ctx)
		case now := <-tick.C:
			if err := view.show(now.Sub(start), now.Sub(last), heard, receiver.Refused()); err != nil {
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

// listenView prints reports of a reception.
type listenView struct {
	out     io.Writer
	json    bool
	told    *reader
	picture *livePicture // nil: plain lines
}

func (v *listenView) show(at, since time.Duration, heard *reception, refused int64) error {
	reports := heard.report()
	var lights []toldLight
	if v.told != nil {
		lights = v.told.read(heard)
	}
	if v.json {
		return writeJSON(v.out, listenObject(at, since, reports, lights, refused, v.told))
	}
	w := width(v.out)
	text := listenText(at, since, reports, lights, refused, w)
	if v.picture != nil {
		return v.picture.draw(cutLines(text, height(v.out)-1), w)
	}
	_, err := io.WriteString(v.out, text+"\n")
	return err
}

// rateFrom is the shortest interval that a rate is given for.
const rateFrom = reportEvery / 4

// rate is frames a second, NaN where the interval is too short to tell.
func rate(frames int64, since time.Duration) float64 {
	if since < rateFrom {
		return none
	}
	return float64(frames) / since.Seconds()
}

// maxChangedShown is how many changed slots a line of the table names.
const maxChangedShown = 8

// listenText is the table of one interval.
func listenText(at, since time.Duration, reports []portReport, lights []toldLight, refused int64, width int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "after %.1f s: %s\n", at.Seconds(), heardText(reports, refused))
	if len(reports) > 0 {
		fmt.Fprintf(&b, "%8s  %-21s %8s %9s %6s  %s\n", "universe", "from", "frames/s", "received", "gaps", "slots changed")
	}
	for _, r := range reports {
		from := r.From.String()
		if r.Senders > 1 {
			from += fmt.Sprintf(" and %d more", r.Senders-1)
		}
		fmt.Fprintf(&b, "%8d  %-21s %8.1f %9d %6d  %s\n", r.PortAddress, from,
			rate(r.Fresh, since), r.Received, r.Lost, changedText(r.Changed))
	}
	if len(lights) > 0 {
		fmt.Fprintf(&b, "\n%-20s %-26s %s\n", "told", "colour", "level")
	}
	for _, l := range lights {
		if l.hand {
			fmt.Fprintf(&b, "%-20s %s\n", l.name, "set by hand")
			continue
		}
		fmt.Fprintf(&b, "%-20s %-26s %s\n", l.name, lightColour(l.light), shareText(l.level))
	}
	return cut(b.String(), width)
}

func heardText(reports []portReport, refused int64) string {
	text := "nothing has arrived yet"
	if len(reports) > 0 {
		text = count(len(reports), "universe")
	}
	if refused > 0 {
		text += fmt.Sprintf(", %s refused as malformed", count(int(refused), "datagram"))
	}
	return text
}

func changedText(slots []int) string {
	if len(slots) == 0 {
		return "-"
	}
	var b strings.Builder
	for i, s := range slots[:min(len(slots), maxChangedShown)] {
		if i > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprint(&b, s)
	}
	if more := len(slots) - maxChangedShown; more > 0 {
		fmt.Fprintf(&b, " and %d more", more)
	}
	return b.String()
}

// cut shortens lines to a width, so that a narrow terminal does not wrap them.
func cut(text string, width int) string {
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if r := []rune(line); len(r) > width {
			lines[i] = string(r[:max(width-1, 0)]) + "…"
		}
	}
	return strings.Join(lines, "\n")
}
