package cue

import "limn/fixtures"

// Kinds of output.
const (
	ArtNet    = "artnet"
	SACN      = "sacn"
	USB       = "usb" // the kind of adapter is to be detected
	USBRaw    = "usb raw"
	USBWidget = "usb widget"
)

// OutputKinds lists the kinds of output.
func OutputKinds() []string { return []string{ArtNet, SACN, USB, USBRaw, USBWidget} }

// What an output does when the program ends.
const (
	Leave   = "leave"
	FadeOut = "fade"
	GoDark  = "dark"
)

// Output is one way out of the computer, as the file gives it.
type Output struct {
	fixtures.Origin
	Name      string
	Kind      string   // one of OutputKinds
	To        []string // host[:port] for a network, a port's name for usb; empty for sACN = multicast
	Universes []int    // ours, ascending, each once
	Offset    int      // wire number = ours + Offset
	OnExit    string   // leave, fade or dark
}
