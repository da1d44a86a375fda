package main

import (
	"net/netip"
	"strings"
	"testing"

	"limn/dmx/sacn"
)

// Another sender of our universes is told once, with what receivers make of it, and when it is gone.
func TestRivals(t *testing.T) {
	ours, theirs := sacn.NewCID(), sacn.NewCID()
	from := netip.MustParseAddrPort("10.0.0.9:5568")
	r := rivals{output: "air", priority: 100, own: map[sacn.CID]bool{ours: true}, known: map[rivalry]string{}}
	heard := func(priority byte, present bool) []sacn.Universe {
		return []sacn.Universe{{Number: 7, Sources: []sacn.Source{
			{CID: ours, Priority: 100, Present: true},
			{CID: theirs, Name: "house desk", From: from, Priority: priority, Present: present},
		}}}
	}
	for _, c := range []struct {
		priority byte
		present  bool
		want     string
	}{
		{100, false, ""},
		{100, true, "also sent by"},
		{100, true, ""},
		{150, true, "with priority 150, above ours of 100: receivers follow that one"},
		{50, true, "below ours of 100: receivers follow this computer"},
		{50, false, "the other sender of sACN universe 7 is gone"},
		{100, true, "with the same priority, 100"},
	} {
		got := strings.Join(r.news(heard(c.priority, c.present)), "\n")
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%+v: %q", c, got)
		}
	}
}

// Strangers cannot fill the memory.
func TestRivalsAreBounded(t *testing.T) {
	r := rivals{known: map[rivalry]string{}}
	var u sacn.Universe
	for range 3 * maxRivals {
		u.Sources = append(u.Sources, sacn.Source{CID: sacn.NewCID(), Present: true})
	}
	r.news([]sacn.Universe{u})
	if len(r.known) > maxRivals {
		t.Errorf("%d are remembered", len(r.known))
	}
}
