package main

import (
	"context"
	"fmt"
	"io"
	"net/netip"
	"strings"

	"github.com/spf13/pflag"

	"limn/cue"
	"limn/fixtures"
)

// rigFlags name where light goes without a shoot, and say whether to ask before.
type rigFlags struct {
	to       string
	kind     string
	universe []int
	yes      bool
}

func (r *rigFlags) add(fl *pflag.FlagSet) {
	fl.StringVar(&r.to, "to", "", "without a shoot: the `ADDRESS` of a node or receiver, or an adapter's port")
	fl.StringVar(&r.kind, "kind", cue.ArtNet, "`KIND` of what --to is: artnet, sacn, usb, \"usb raw\" or \"usb widget\"")
	fl.IntSliceVar(&r.universe, "universe", []int{1}, "without a shoot: the `UNIVERSE`s to send")
	fl.BoolVar(&r.yes, "yes", false, "do it without asking; needed where nobody can be asked")
}

// rig is the shoot whose outputs are used, or one made of the flags.
func (r *rigFlags) rig(shoot *cue.Shoot) (*cue.Shoot, error) {
	if shoot != nil {
		if r.to != "" {
			return nil, usagef("name the folder of a shoot or --to, not both", "the shoot says where its light goes, and so does --to %q", r.to)
		}
		return shoot, nil
	}
	o := cue.Output{Name: "bench", Kind: r.kind, OnExit: cue.GoDark, Priority: cue.UsualPriority, Universes: r.universe}
	const example = "limn find harbour --walk, or --to 192.168.1.50, or --to /dev/ttyUSB0 --kind usb"
	switch {
	case !contains(cue.OutputKinds(), r.kind):
		return nil, usagef(`write artnet, sacn, usb, "usb raw" or "usb widget"`, "--kind: %q is no kind of output", r.kind)
	case r.to == "" && r.kind != cue.SACN && r.kind != cue.USB:
		return nil, usagef("write for example "+example, "nothing says where the light goes")
	case len(r.universe) == 0:
		return nil, usagef("write for example --universe 1", "--universe: there is none")
	case r.to != "" && (r.kind == cue.ArtNet || r.kind == cue.SACN):
		addresses, _, _ := destinations([]string{r.to}, 1)
		for _, a := range addresses {
			if unfit(a.Addr()) {
				return nil, usagef("write the node's own address", "--to: %q is no single receiver", r.to)
			}
		}
		fallthrough
	case r.to != "":
		o.To = []string{r.to}
	}
	for _, u := range r.universe {
		if u < 1 || u > fixtures.MaxUniverse {
			return nil, usagef("universes count from 1 to 63999", "--universe: there is no universe %d", u)
		}
	}
	return &cue.Shoot{Subject: cue.Subject{Name: "bench"}, Outputs: []cue.Output{o}, Rig: &fixtures.Rig{}}, nil
}

func unfit(a netip.Addr) bool {
	return a.IsUnspecified() || a.IsMulticast() || a == netip.AddrFrom4([4]byte{255, 255, 255, 255})
}

func contains(list []string, word string) bool {
	for _, w := range list {
		if w == word {
			return true
		}
	}
	return false
}

// talk is a conversation with whoever sits at the terminal, or a script in his place.
type talk struct {
	in    io.Reader
	out   io.Writer // questions
	typed <-chan string
}

func newTalk(std stdio) *talk { return &talk{in: std.In, out: std.Err} }

// ask puts a question and waits for the line that answers it; io.EOF when nobody answers any more.
func (t *talk) ask(ctx context.Context, format string, args ...any) (string, error) {
	if t.typed == nil {
		t.typed = typedLines(ctx, t.in)
	}
	fmt.Fprintf(t.out, "%s ", clean(fmt.Sprintf(format, args...)))
	select {
	case line, ok := <-t.typed:
		if !ok {
			return "", io.EOF
		}
		if !isTerminal(t.in) {
			fmt.Fprintln(t.out)
		}
		return line, nil
	case <-ctx.Done():
		return "", said(statusInterrupted)
	}
}

// agree asks before something is driven or changed, unless --yes has answered.
func (r *rigFlags) agree(ctx context.Context, what string, std stdio) error {
	if r.yes {
		return nil
	}
	if !isTerminal(std.In) {
		return usagef("add --yes once nobody can be dazzled, burnt or caught by what moves", "%s, and nobody can be asked", what)
	}
	line, err := newTalk(std).ask(ctx, "%s. Go on? [y/N]", what)
	if err != nil {
		return err
	}
	if !strings.EqualFold(line, "y") && !strings.EqualFold(line, "yes") {
		return failuref(statusFailed, "", "not done")
	}
	return nil
}
