package main

import (
	"context"
	"fmt"
	"net/netip"

	"limn/cue"
	"limn/dmx"
	"limn/dmx/artnet"
	"limn/dmx/serial"
)

// unsendable says why this version cannot drive an output, and what to write
// instead; both empty when it can.
func unsendable(o *cue.Output) (why, cure string) {
	switch o.Kind {
	case cue.SACN:
		return "this version does not send sACN yet", `use a node that takes Art-Net and write kind = "artnet"`
	case cue.USB:
		return "the kind of adapter cannot be detected yet",
			`write kind = "usb widget" for an adapter that frames its own packets, "usb raw" for a plain serial line`
	}
	return "", ""
}

// opened is an output of a shoot.
type opened struct {
	dmx.Output
	lights bool // it leaves this machine, so lights may hang on it
}

// openOutputs makes the outputs of a shoot. An adapter that is not plugged in or a
// node that is not there is no error: the output goes on trying.
func openOutputs(ctx context.Context, shoot *cue.Shoot) ([]opened, error) {
	var outs []opened
	for i := range shoot.Outputs {
		out, err := openOutput(ctx, &shoot.Outputs[i])
		if err != nil {
			closeAll(outs)
			return nil, err
		}
		outs = append(outs, out)
	}
	return outs, nil
}

func closeAll(outs []opened) {
	for _, o := range outs {
		o.Close()
	}
}

func openOutput(ctx context.Context, o *cue.Output) (opened, error) {
	if why, cure := unsendable(o); why != "" {
		return opened{}, failuref(statusFiles, cure, "%s: output %q, kind %q: %s", place(o), o.Name, o.Kind, why)
	}
	if o.Kind == cue.ArtNet {
		return openArtNet(ctx, o)
	}
	kind := serial.Raw
	if o.Kind == cue.USBWidget {
		kind = serial.Widget
	}
	out, err := serial.NewOutput(serial.Config{
		Name: o.Name, Kind: kind, Port: o.To[0], Universe: dmx.Universe(o.Universes[0]),
	})
	if err != nil {
		return opened{}, failuref(statusFiles, "", "%s: %v", place(o), err)
	}
	return opened{out, true}, nil
}

func openArtNet(ctx context.Context, o *cue.Output) (opened, error) {
	to := make([]netip.AddrPort, len(o.To))
	lights := false
	for i, text := range o.To {
		var err error
		if to[i], err = parseAddress(ctx, text, artnet.Port); err != nil {
			return opened{}, failuref(statusUnreachable, "write the node's address in numbers: to = \"2.0.0.10\"",
				"%s: output %q, to = %q: %v", place(o), o.Name, text, err)
		}
		lights = lights || !to[i].Addr().IsLoopback()
	}
	out, err := artnet.NewOutput(artnet.Config{Name: o.Name, To: to, Universes: universes(o.Universes), Offset: o.Offset})
	if err != nil {
		return opened{}, failuref(statusFiles, "", "%s: output %q: %v", place(o), o.Name, err)
	}
	return opened{out, lights}, nil
}

func universes(ours []int) []dmx.Universe {
	out := make([]dmx.Universe, len(ours))
	for i, u := range ours {
		out[i] = dmx.Universe(u)
	}
	return out
}

// place is where in the files an output stands.
func place(o *cue.Output) string { return fmt.Sprintf("%s:%d:%d", o.File, o.Line, o.Col) }
