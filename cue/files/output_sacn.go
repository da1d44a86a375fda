package files

import (
	"strings"
	"unicode/utf8"

	"limn/cue"
	"limn/profiles/tomlfile"
)

const (
	// maxSource is the most bytes of UTF-8 that a source name may have on the wire (ANSI E1.31, 6.2.2).
	maxSource = 63
	// maxHops bounds how far multicast goes; site networks have no more routers in a row.
	maxHops = 32
)

// sacn reads what only sACN has, and the interface, which discovery has too.
func (l *loader) sacn(t *tomlfile.Table, o *cue.Output) {
	if l.has(t, o, "ip", "it chooses the multicast of sACN", cue.SACN) {
		l.versions(t, o)
	}
	if l.has(t, o, "priority", "only sACN has priorities", cue.SACN) {
		l.priority(t, o)
	}
	if l.has(t, o, "source-name", "only sACN has one", cue.SACN) {
		if name, ok := t.String("source-name"); ok {
			if len(name) > maxSource {
				l.ps.Error(t.ValuePos("source-name"), "shorten it to 63 bytes", "the source name has %d bytes in %d characters, sACN has room for %d bytes",
					len(name), utf8.RuneCountInString(name), maxSource)
			} else {
				l.fit("source-name", name, t.ValuePos("source-name"), `write for example source-name = "Kittiwake desk"`)
			}
			o.Source = name
		}
	}
	if l.has(t, o, "hops", "it is how many routers the multicast of sACN may pass", cue.SACN) {
		hops, ok := t.Int("hops")
		switch {
		case !ok:
		case hops < 1 || hops > maxHops:
			l.ps.Error(t.ValuePos("hops"), "write 1 to 32; 1 keeps multicast on its own network", "%d hops are out of range", hops)
		default:
			o.Hops = hops
		}
	}
	if o.Kind == cue.SACN {
		l.sacnSync(t, o)
	} else if o.Kind != cue.ArtNet {
		l.has(t, o, "sync", "a usb adapter has one universe, which is always together")
	}
	l.wayOut(t, o)
}

// wayOut reads the interface.
func (l *loader) wayOut(t *tomlfile.Table, o *cue.Output) {
	if !l.has(t, o, "interface", "it chooses a network", cue.ArtNet, cue.SACN) {
		return
	}
	name, ok := t.String("interface")
	at := t.ValuePos("interface")
	switch {
	case !ok:
	case strings.TrimSpace(name) == "" || strings.ContainsFunc(name, func(r rune) bool { return r < ' ' || r == 0x7f }):
		l.ps.Error(at, `write for example interface = "eth0", or this computer's own address there`, "the interface is %s", tomlfile.Quote(name))
	case o.Kind == cue.ArtNet && !o.Discover:
		l.ps.Error(at, `take it out, or write to = "discover"`, "the interface is where nodes are looked for, and this output goes to given addresses, to which the system finds the way")
	case o.Kind == cue.SACN && !o.Multicast():
		l.ps.Error(at, `take it out, or add ip = "v4"`, "the interface is where multicast leaves, and this output goes to given addresses, to which the system finds the way")
	default:
		o.Interface = name
	}
}

// versions reads ip = "v4", "v6" or both.
func (l *loader) versions(t *tomlfile.Table, o *cue.Output) {
	v, _ := t.Value("ip")
	values, isList := v.List()
	if !isList {
		values = []tomlfile.Value{v}
	}
	if len(values) == 0 {
		l.ps.Error(v.Pos(), `write ip = "v4", "v6" or ["v4", "v6"]`, "the list is empty")
	}
	for _, v := range values {
		switch text, _ := v.Text(); text {
		case "v4":
			o.IP4 = true
		case "v6":
			o.IP6 = true
		default:
			l.ps.Error(v.Pos(), `write ip = "v4", "v6" or ["v4", "v6"]`, "ip is %s", describe(v))
		}
	}
}

func (l *loader) priority(t *tomlfile.Table, o *cue.Output) {
	n, ok := t.Int("priority")
	switch {
	case !ok:
	case n < 0 || n > cue.MaxPriority:
		l.ps.Error(t.ValuePos("priority"), "sACN has 0 to 200, the highest wins, and 100 is usual", "the priority %d is out of range", n)
	default:
		o.Priority = n
		if n == 0 {
			l.ps.Warn(t.ValuePos("priority"), "write 100, or more to win against others", "priority 0 loses against every other sender")
		}
	}
}

// sacnSync reads the number of the universe that synchronization goes to.
func (l *loader) sacnSync(t *tomlfile.Table, o *cue.Output) {
	v, ok := t.Value("sync")
	if !ok {
		return
	}
	const cure = "write a universe number of the network, 1 to 63999, that carries no light of others: sync = 7962"
	n, isInt := v.Integer()
	switch {
	case !isInt:
		l.ps.Error(v.Pos(), cure, "sync is %s, a number is wanted for sACN", v.Kind())
	case n < 1 || n > maxSACNUniverse:
		l.ps.Error(v.Pos(), cure, "there is no universe %d", n)
	default:
		o.SyncUniverse = n
	}
}
