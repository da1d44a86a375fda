package main

import (
	"context"
	"net/netip"

	"github.com/spf13/cobra"

	"limn/cue"
	"limn/dmx/artnet"
	"limn/dmx/rdm"
)

type findFlags struct {
	interfaces []string
	poll       []string
	ports      []string
	udpPort    uint16
	wait       duration
	rdm        bool
	setAddress string
	json       bool

	rigFlags
	test     string
	walk     bool
	pullTest bool
}

func newFind(std stdio) *cobra.Command {
	var f findFlags
	cmd := &cobra.Command{
		Use:   "find [SHOOT]",
		Short: "Find nodes, senders and adapters, and which light is which",
		Long: `Asks the networks of this computer for Art-Net nodes, listens for sACN senders, and
looks for serial adapters; prints each with lines to paste into rig.toml. It
listens only while it runs, and says which networks it asked.

With --test, --walk or --pull-test it lights a light: gently, one swell in two
seconds, which is far below the rate that can trigger seizures. Everything else on
those universes goes dark meanwhile, and motors may move: warn who is there, keep
hands clear and do not look into bright diodes from close by. The lights are those
of a shoot's outputs, or of the one that --to names.`,
		Example: `  limn find
  limn find --interface eth0 --wait 11s          # sACN senders tell of themselves every 10 s
  limn find --poll 10.0.0.7 --port /dev/ttyS4    # for what cannot be discovered
  limn find harbour --rdm                        # fixtures behind nodes, against rig.toml
  limn find --rdm --set-address 7a70:00000001=101
  limn find harbour --test 1:21
  limn find --to 192.168.1.50 --walk
  limn find harbour --pull-test`,
		GroupID: groupSet,
		Args:    atMostOne,

		ValidArgsFunction: completeFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := exclusive(cmd, "test", "walk", "pull-test", "rdm"); err != nil {
				return err
			}
			if f.setAddress != "" {
				f.rdm = true
			}
			var shoot *cue.Shoot
			if len(args) > 0 {
				var err error
				if shoot, err = openShoot(args[0], std); err != nil {
					return err
				}
			}
			switch {
			case f.test != "":
				return f.swell(cmd.Context(), shoot, std)
			case f.walk:
				return f.walkAlong(cmd.Context(), shoot, std)
			case f.pullTest:
				return f.pull(cmd.Context(), shoot, std)
			}
			return f.find(cmd.Context(), shoot, std)
		},
	}
	fl := cmd.Flags()
	fl.StringSliceVar(&f.interfaces, "interface", nil, "ask on this network `INTERFACE` (name or own address); else on all")
	fl.StringSliceVar(&f.poll, "poll", nil, "ask the Art-Net node at `ADDR`, where no broadcast reaches")
	fl.StringSliceVar(&f.ports, "port", nil, "ask the serial adapter at `PATH` what it is")
	fl.Uint16Var(&f.udpPort, "udp-port", artnet.Port, "`PORT` of the nodes")
	fl.Var(&f.wait, "wait", "`TIME` to wait for answers (4 s)")
	fl.BoolVar(&f.rdm, "rdm", false, "list the fixtures behind the nodes (RDM); some lights flicker meanwhile")
	fl.StringVar(&f.setAddress, "set-address", "", "give the fixture `UID=ADDRESS` another start address, after a question")
	fl.StringVar(&f.test, "test", "", "swell the light at `UNIVERSE:SLOT` (\"1:21\", \"21-24\")")
	fl.BoolVar(&f.walk, "walk", false, "go through the slots, name each light that swells, print its [[source]]")
	fl.BoolVar(&f.pullTest, "pull-test", false, "one guided minute: what lights do when a cable is pulled")
	f.rigFlags.add(fl)
	fl.BoolVar(&f.json, "json", false, "print one JSON object")
	return cmd
}

// find asks everybody and prints who is there.
func (f *findFlags) find(ctx context.Context, shoot *cue.Shoot, std stdio) error {
	q, err := f.question()
	if err != nil {
		return err
	}
	uid, address, err := f.newAddress()
	if err != nil {
		return err
	}
	search, err := newSearch(q, func(text string) { note(std.Err, "%s", text) })
	if err != nil {
		return err
	}
	defer search.close()
	search.wait(ctx)
	found := search.found()
	if f.rdm {
		found.lines = search.fixtures(ctx, found.nodes, shoot)
	}
	if ctx.Err() != nil {
		return ended(ctx)
	}
	if address > 0 {
		return f.readdress(ctx, search, found, uid, address, std)
	}
	if f.json {
		err = writeJSON(std.Out, foundObject(found))
	} else {
		err = printFound(std.Out, found, shoot)
	}
	if err == nil && found.nothing() {
		err = failuref(statusUnreachable, found.advice(), "nothing answered")
	}
	return err
}

// question is what the flags ask for.
func (f *findFlags) question() (question, error) {
	q := question{interfaces: f.interfaces, ports: f.ports, udpPort: f.udpPort, wait: artnet.FindWait, rdm: f.rdm}
	for _, text := range f.poll {
		a, err := netip.ParseAddr(text)
		if err != nil || !a.Is4() || a.IsUnspecified() || a.IsMulticast() {
			return q, usagef("write for example --poll 10.0.0.7", "--poll: %q is not the IPv4 address of a node", text)
		}
		q.poll = append(q.poll, a)
	}
	if f.udpPort == 0 {
		return q, usagef("Art-Net's own is 6454", "--udp-port: there is no port 0")
	}
	if f.wait.given() {
		if q.wait = f.wait.std(); q.wait <= 0 {
			return q, usagef("write for example --wait 4s", "--wait: %q leaves no time to answer", f.wait.text)
		}
	}
	return q, nil
}

// newAddress reads --set-address; address is 0 if it was not given.
func (f *findFlags) newAddress() (uid rdm.UID, address int, err error) {
	if f.setAddress == "" {
		return uid, 0, nil
	}
	return parseReaddress(f.setAddress)
}
