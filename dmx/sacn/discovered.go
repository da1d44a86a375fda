package sacn

import (
	"cmp"
	"net/netip"
	"slices"
	"time"
)

// Bounds of what universe discovery can make a receiver remember.
const (
	maxDiscovered  = 256
	maxListedPages = 8 // of 512 universes
	// A sender that is not heard for two intervals is gone (ANSI E1.31-2018, 12.2).
	discoveryLost = 2*discoverEvery + 500*time.Millisecond
)

// Discovered is a sender that has told by universe discovery what it sends.
type Discovered struct {
	CID       CID
	Name      string // cleaned
	From      netip.AddrPort
	Universes []uint16 // ascending; of very long lists the first 4096
	Silent    time.Duration
}

type discoveredSender struct {
	name  string
	from  netip.AddrPort
	last  time.Duration
	pages [maxListedPages][]uint16
}

// discoveredTable is what universe discovery has told. Its zero value is ready.
type discoveredTable map[CID]*discoveredSender

// hear takes a page and says whether there was room for it.
func (t *discoveredTable) hear(p *DiscoveryPage, from netip.AddrPort, now time.Duration) bool {
	if *t == nil {
		*t = discoveredTable{}
	}
	s := (*t)[p.CID]
	if s == nil {
		if len(*t) >= maxDiscovered {
			t.sweep(now)
		}
		if len(*t) >= maxDiscovered {
			return false
		}
		s = &discoveredSender{}
		(*t)[p.CID] = s
	}
	s.name, s.from, s.last = CleanName(p.Name), from, now
	if int(p.Page) < maxListedPages {
		s.pages[p.Page] = append(s.pages[p.Page][:0], p.Universes...)
	}
	for i := int(p.Last) + 1; i < maxListedPages; i++ {
		s.pages[i] = nil
	}
	return true
}

func (t *discoveredTable) sweep(now time.Duration) {
	for cid, s := range *t {
		if now-s.last > discoveryLost {
			delete(*t, cid)
		}
	}
}

func (t *discoveredTable) report(now time.Duration) []Discovered {
	t.sweep(now)
	out := make([]Discovered, 0, len(*t))
	for cid, s := range *t {
		d := Discovered{CID: cid, Name: s.name, From: s.from, Silent: now - s.last}
		for _, p := range s.pages {
			d.Universes = append(d.Universes, p...)
		}
		slices.Sort(d.Universes)
		d.Universes = slices.Compact(d.Universes)
		out = append(out, d)
	}
	slices.SortFunc(out, func(a, b Discovered) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), slices.Compare(a.CID[:], b.CID[:]))
	})
	return out
}
