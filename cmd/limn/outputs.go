package main

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"time"

	"limn/cue"
	"limn/dmx"
	"limn/dmx/serial"
)

// opened is an output of a shoot.
type opened struct {
	dmx.Output
	lights bool // it leaves this machine, so lights may hang on it
}

// outputs are those of a shoot, with what they stand on: discoveries, which they
// share, and ears for other senders.
type outputs struct {
	shoot *cue.Shoot
	outs  []opened
	news  func(text string) // told in words what happens on the networks; from any goroutine

	lookouts map[lookoutPlace]*lookout
	senders  senders
	ears     []*ear
}

// openOutputs makes the outputs of a shoot. An adapter that is not plugged in, a node or a network that
// is not there is no error: the output goes on trying. Whoever has the outputs closes them,
// and then what they stand on with close.
func openOutputs(shoot *cue.Shoot, news func(text string)) (*outputs, error) {
	os := &outputs{shoot: shoot, news: news, lookouts: map[lookoutPlace]*lookout{}}
	for i := range shoot.Outputs {
		out, err := os.open(&shoot.Outputs[i])
		if err != nil {
			closeAll(os.outs)
			return nil, errors.Join(err, os.close())
		}
		os.outs = append(os.outs, out)
	}
	os.listen()
	return os, nil
}

// close ends what the outputs stood on. They are closed before it.
func (os *outputs) close() error {
	var errs []error
	for _, e := range os.ears {
		e.close()
	}
	for _, l := range os.lookouts {
		errs = append(errs, l.close())
	}
	return errors.Join(errs...)
}

func closeAll(outs []opened) {
	for _, o := range outs {
		o.Close()
	}
}

// open makes one output, as slow as it is asked to be.
func (os *outputs) open(o *cue.Output) (opened, error) {
	var out opened
	var err error
	switch o.Kind {
	case cue.ArtNet:
		out, err = os.openArtNet(o)
	case cue.SACN:
		out, err = os.openSACN(o)
	default:
		out, err = openSerial(o)
	}
	if err != nil {
		return opened{}, failuref(statusFiles, "", "%s: output %q: %v", place(o), o.Name, err)
	}
	out.Output = throttle(out.Output, o.Rate, o.KeepAlive, loopKeepAlive(os.shoot))
	return out, nil
}

func openSerial(o *cue.Output) (opened, error) {
	kind := map[string]serial.Kind{cue.USB: serial.Auto, cue.USBRaw: serial.Raw, cue.USBWidget: serial.Widget}[o.Kind]
	port := ""
	if len(o.To) > 0 {
		port = o.To[0]
	}
	out, err := serial.NewOutput(serial.Config{
		Name: o.Name, Kind: kind, Port: port, Universe: dmx.Universe(o.Universes[0]), LowRTS: o.LowRTS,
	})
	return opened{out, true}, err
}

// destinations parts where an output goes into addresses and host names, which are
// looked up again and again. lights says that some are not this machine.
func destinations(to []string, port uint16) (addresses []netip.AddrPort, hosts []string, lights bool) {
	for _, text := range to {
		host, p := text, port
		if h, text, err := net.SplitHostPort(text); err == nil {
			if n, err := net.LookupPort("udp", text); err == nil { // a number: the files have seen to that
				host, p = h, uint16(n)
			}
		}
		if host == "localhost" {
			host = "127.0.0.1"
		}
		if a, err := netip.ParseAddr(host); err == nil {
			a = a.Unmap()
			addresses = append(addresses, netip.AddrPortFrom(a, p))
			lights = lights || !a.IsLoopback()
			continue
		}
		hosts = append(hosts, text)
		lights = true
	}
	return addresses, hosts, lights
}

// loopback says that an interface, by its name or an own address, leads nowhere.
func loopback(name string) bool {
	if a, err := netip.ParseAddr(name); err == nil {
		return a.IsLoopback()
	}
	in, err := net.InterfaceByName(name)
	return err == nil && in.Flags&net.FlagLoopback != 0
}

func universes(ours []int) []dmx.Universe {
	out := make([]dmx.Universe, len(ours))
	for i, u := range ours {
		out[i] = dmx.Universe(u)
	}
	return out
}

// loopKeepAlive is after how long the send loop offers an unchanged frame again: the
// shortest time that an output of the shoot asks for, 0 = the loop's own.
func loopKeepAlive(shoot *cue.Shoot) time.Duration {
	least := time.Duration(0)
	for i := range shoot.Outputs {
		if k := shoot.Outputs[i].KeepAlive; k > 0 && (least == 0 || k < least) {
			least = k
		}
	}
	return min(least, usualKeepAlive)
}

// usualKeepAlive is after how long an unchanged frame goes out again where nobody says (ANSI E1.31, 6.6.2: 800 to 1000 ms).
const usualKeepAlive = 800 * time.Millisecond

// place is where in the files an output stands.
func place(o *cue.Output) string { return fmt.Sprintf("%s:%d:%d", o.File, o.Line, o.Col) }
