package files

import (
	"net/netip"

	"limn/cue"
	"limn/profiles/tomlfile"
)

// discover is the word that stands in the place of addresses.
const discover = "discover"

// artNet reads what only Art-Net has.
func (l *loader) artNet(t *tomlfile.Table, o *cue.Output) {
	if l.has(t, o, "broadcast", "only Art-Net can be broadcast", cue.ArtNet) {
		o.Broadcast, _ = t.Bool("broadcast")
		if o.Broadcast {
			l.ps.Warn(t.ValuePos("broadcast"), `name the nodes' own addresses, or write to = "discover"`,
				"output %s may broadcast, which the present Art-Net does not allow for light: every device of the network must read every packet",
				tomlfile.Quote(o.Name))
		}
	}
	for _, key := range []string{"poll", "port"} {
		if t.Has(key) && o.Kind == cue.ArtNet && !o.Discover {
			l.ps.Error(t.KeyPos(key), `take it out, or write to = "discover"`, "%s is about discovery, and this output goes to given addresses", key)
		}
	}
	if l.has(t, o, "poll", "it lists Art-Net nodes to ask", cue.ArtNet) {
		o.Poll = l.polled(t)
	}
	if l.has(t, o, "port", "it is that of Art-Net discovery; elsewhere write host:port in to", cue.ArtNet) {
		port, ok := t.Int("port")
		switch {
		case !ok:
		case port < 1 || port > 65535:
			l.ps.Error(t.ValuePos("port"), "ports count from 1 to 65535; Art-Net's own is 6454", "there is no port %d", port)
		default:
			o.Port = port
		}
	}
	if o.Kind == cue.ArtNet {
		l.artNetSync(t, o)
	}
}

// artNetSync reads sync = true, "broadcast" or "unicast".
func (l *loader) artNetSync(t *tomlfile.Table, o *cue.Output) {
	v, ok := t.Value("sync")
	if !ok {
		return
	}
	if on, isBool := v.Bool(); isBool {
		if on {
			o.Sync = cue.SyncBroadcast
		}
		return
	}
	if _, isText := v.Text(); isText {
		o.Sync, _ = t.OneOf("sync", cue.SyncBroadcast, cue.SyncUnicast)
		return
	}
	l.ps.Error(v.Pos(), `write sync = true, or "unicast" for wireless networks, which deliver broadcasts late`,
		"sync is %s, true or false is wanted for Art-Net", v.Kind())
}

// polled reads the addresses that discovery asks one by one.
func (l *loader) polled(t *tomlfile.Table) []string {
	v, _ := t.Value("poll")
	values, isList := v.List()
	if !isList {
		values = []tomlfile.Value{v}
	}
	var out []string
	for _, v := range values {
		text, _ := v.Text()
		a, err := netip.ParseAddr(text)
		if err != nil || !a.Is4() || a.IsUnspecified() || a.IsMulticast() {
			l.ps.Error(v.Pos(), `write poll = ["192.168.1.50"]`, "poll names %s, the IPv4 address of a node is wanted", describe(v))
			continue
		}
		out = append(out, a.String())
	}
	return out
}

// describe is a value in a message: the text itself, or what it is.
func describe(v tomlfile.Value) string {
	if text, ok := v.Text(); ok {
		return tomlfile.Quote(text)
	}
	return v.Kind()
}
