package sacn

import (
	"bytes"
	"encoding/hex"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
)

var (
	loopback4 = netip.MustParseAddrPort("127.0.0.1:0")
	loopback6 = netip.MustParseAddrPort("[::1]:0")
)

// patience is what only a failing test waits for.
const patience = 10 * time.Second

// loopbackAlone lets multicast leave by loopback and nowhere else.
func loopbackAlone() ([]Interface, error) {
	all, err := Interfaces()
	return slices.DeleteFunc(all, func(i Interface) bool { return i.Flags&net.FlagLoopback == 0 }), err
}

func loopbackName(t testing.TB) string {
	t.Helper()
	all, err := loopbackAlone()
	if err != nil || len(all) == 0 {
		t.Skipf("this system has no loopback interface: %v", err)
	}
	return all[0].Name
}

// receive listens on loopback, or skips the test.
func receive(t testing.TB, cfg ListenConfig, handle func(*Datagram)) *Receiver {
	t.Helper()
	cfg.interfaces = loopbackAlone
	r, err := Listen(cfg, handle)
	if err != nil {
		t.Skipf("this system does not let us listen to %+v: %v", cfg.Addr, err)
	}
	t.Cleanup(func() { r.Close() })
	return r
}

// farEnd is a receiver on loopback that can be switched off and on again.
type farEnd struct {
	t       testing.TB
	cfg     ListenConfig
	offset  int
	arrived chan dmxtest.Arrived
	mu      sync.Mutex
	r       *Receiver
}

func newFarEnd(t testing.TB, cfg ListenConfig, offset int) *farEnd {
	f := &farEnd{t: t, cfg: cfg, offset: offset, arrived: make(chan dmxtest.Arrived, 4096)}
	f.Return()
	return f
}

func (f *farEnd) Arrived() <-chan dmxtest.Arrived { return f.arrived }

func (f *farEnd) Return() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.r = receive(f.t, f.cfg, func(d *Datagram) {
		a := dmxtest.Arrived{Universe: dmx.Universe(int(d.Universe) - f.offset)}
		copy(a.Frame[:], d.Slots)
		f.arrived <- a
	})
	if f.cfg.Groups == 0 {
		f.cfg.Addr = f.r.Addr() // the same port again when it comes back
	}
}

func (f *farEnd) Leave() {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.r.Close(); err != nil {
		f.t.Error(err)
	}
}

func (f *farEnd) Close() { f.Leave() }

// freePort is one that nobody has now, for multicast, where the standard's would be shared with others.
func freePort(t testing.TB) uint16 {
	t.Helper()
	c, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(loopback4))
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	return c.LocalAddr().(*net.UDPAddr).AddrPort().Port()
}

// needsMulticast skips the test where loopback carries no multicast of that version.
func needsMulticast(t testing.TB, g Groups) {
	t.Helper()
	name, port := loopbackName(t), freePort(t)
	got := make(chan struct{}, 8)
	receive(t, ListenConfig{Addr: netip.AddrPortFrom(netip.Addr{}, port), Groups: g, Interface: name, Universes: []uint16{9}}, func(*Datagram) { got <- struct{}{} })
	o, err := New(Config{Groups: g, Interface: name, Universes: []dmx.Universe{9}, CID: testCID, port: port, interfaces: loopbackAlone})
	if err != nil {
		t.Fatal(err)
	}
	defer o.Close()
	if err := o.Send(make([]dmx.Frame, 1)); err != nil {
		t.Skipf("this system sends no multicast on loopback: %v", err)
	}
	select {
	case <-got:
	case <-time.After(2 * time.Second):
		t.Skip("multicast on loopback does not come back on this system")
	}
}

func TestConformance(t *testing.T) {
	universes := []dmx.Universe{5, 1, 300}
	wires := []uint16{15, 11, 310}
	for name, c := range map[string]struct {
		listen ListenConfig
		groups Groups
		sync   uint16
	}{
		"IPv4":             {listen: ListenConfig{Addr: loopback4}},
		"IPv6":             {listen: ListenConfig{Addr: loopback6}},
		"IPv4, in step":    {listen: ListenConfig{Addr: loopback4}, sync: 7962},
		"multicast":        {groups: Groups4},
		"IPv6 multicast":   {groups: Groups6},
		"multicast, twice": {groups: Groups4 | Groups6}, // each frame comes by both and is used once
	} {
		t.Run(name, func(t *testing.T) {
			for _, g := range []Groups{Groups4, Groups6} {
				if c.groups&g != 0 {
					needsMulticast(t, g)
				}
			}
			dmxtest.Run(t, dmxtest.Transport{
				Universes: universes,
				Tells:     c.groups == 0, // loopback answers that nobody listens; a group does not
				Open: func(t testing.TB) (dmx.Output, dmxtest.Far) {
					cfg := Config{Name: "bench", Universes: universes, Offset: 10, CID: testCID, Sync: c.sync, interfaces: loopbackAlone}
					listen := c.listen
					if c.groups != 0 {
						cfg.port, cfg.Groups, cfg.Interface = freePort(t), c.groups, loopbackName(t)
						listen = ListenConfig{Addr: netip.AddrPortFrom(netip.Addr{}, cfg.port), Groups: c.groups, Interface: cfg.Interface, Universes: wires}
					}
					far := newFarEnd(t, listen, 10)
					if c.groups == 0 {
						cfg.To = []netip.AddrPort{far.cfg.Addr}
					}
					o, err := New(cfg)
					if err != nil {
						t.Fatal(err)
					}
					return o, far
				},
			})
		})
	}
}

// More groups than one socket may join, the discovery group among them.
func TestManyGroups(t *testing.T) {
	needsMulticast(t, Groups4)
	name, port := loopbackName(t), freePort(t)
	const n = 50
	var universes []dmx.Universe
	var wires []uint16
	for u := range n {
		universes, wires = append(universes, dmx.Universe(u+1)), append(wires, uint16(u+1))
	}
	got := make(chan uint16, 4*n)
	r := receive(t, ListenConfig{Addr: netip.AddrPortFrom(netip.Addr{}, port), Groups: Groups4, Interface: name, Universes: wires, Discovery: true},
		func(d *Datagram) { got <- d.Universe })
	o, err := New(Config{Groups: Groups4, Interface: name, Universes: universes, CID: testCID, Source: "many", port: port, interfaces: loopbackAlone})
	if err != nil {
		t.Fatal(err)
	}
	defer o.Close()
	if err := o.Send(make([]dmx.Frame, n)); err != nil {
		t.Fatal(err)
	}
	seen := map[uint16]int{}
	limit := time.After(patience)
	for len(seen) < n {
		select {
		case u := <-got:
			seen[u]++
		case <-limit:
			t.Fatalf("only %d universes arrived", len(seen))
		}
	}
	for len(r.Discovered()) == 0 {
		select {
		case <-limit:
			t.Fatal("universe discovery did not arrive")
		case <-time.After(time.Millisecond):
		}
	}
	if d := r.Discovered()[0]; d.Name != "many" || !slices.Equal(d.Universes, wires) || d.CID != testCID {
		t.Errorf("%+v", d)
	}
	if c := r.Counters(); c.Unwanted+c.Malformed+c.Overflow > 0 || r.Universes()[0].Sources[0].Repeated > 0 {
		t.Errorf("%+v, %+v", c, r.Universes()[0].Sources[0])
	}
}

func TestSendAllocatesNothing(t *testing.T) {
	var universes []dmx.Universe
	for u := range 100 {
		universes = append(universes, dmx.Universe(u+1))
	}
	for _, loopback := range []netip.AddrPort{loopback4, loopback6} {
		// A socket that nobody reads takes it all; a receiver would count its own allocations in.
		sink, err := net.ListenUDP("udp", net.UDPAddrFromAddrPort(loopback))
		if err != nil {
			t.Skipf("this system has no such address: %v", err)
		}
		defer sink.Close()
		sendsWithoutAllocating(t, Config{To: []netip.AddrPort{sink.LocalAddr().(*net.UDPAddr).AddrPort()}, Universes: universes, CID: testCID})
	}
	sendsWithoutAllocating(t, Config{Groups: Groups4, Interface: loopbackName(t), Universes: universes, CID: testCID, Sync: 1, SyncGap: -1, port: freePort(t), interfaces: loopbackAlone})
}

func sendsWithoutAllocating(t *testing.T, cfg Config) {
	t.Helper()
	o, err := New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	defer o.Close()
	frames := make([]dmx.Frame, len(cfg.Universes))
	if err := o.Send(frames); err != nil {
		t.Fatal(err)
	}
	if n := testing.AllocsPerRun(50, func() {
		for i := range frames {
			frames[i][7]++
		}
		if err := o.Send(frames); err != nil {
			t.Fatal(err)
		}
	}); n != 0 && !dmxtest.Race {
		t.Errorf("%v allocations a frame", n)
	}
}

// What strangers send is refused and counted, changes nothing, and what is good among it is taken.
func TestReceiverAmongStrangers(t *testing.T) {
	got := make(chan Datagram, 100)
	r := receive(t, ListenConfig{Addr: loopback4}, func(d *Datagram) {
		c := *d
		c.Slots = bytes.Clone(d.Slots)
		got <- c
	})
	conn, err := net.DialUDP("udp4", nil, net.UDPAddrFromAddrPort(r.Addr()))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	var want Counters
	live := 0
	for _, p := range dmxtest.Vectors(t, "e131_", "any_empty", "artdmx_") {
		e131 := strings.HasPrefix(p.Name, "e131_")
		if len(p.Bytes) == 0 && p.Valid {
			continue
		}
		if _, err := conn.Write(p.Bytes); err != nil {
			t.Fatalf("%s: %v", p.Name, err)
		}
		drives := false
		switch {
		case !p.Valid || !e131:
			want.Malformed++
		case strings.HasPrefix(p.Name, "e131_data_"):
			want.Received++
			var d Data
			if err := d.Decode(p.Bytes); err != nil {
				t.Fatal(err)
			}
			// The packets of universe 1 are of one sender: what goes before decides whether they count.
			if d.Universe != 1 {
				drives = d.StartCode == 0 && d.Options == 0
			}
		case strings.HasPrefix(p.Name, "e131_sync_"):
			want.Syncs++
		default:
			want.Discovery++
		}
		if !drives {
			continue
		}
		live++
		for arrived := false; !arrived; {
			select {
			case d := <-got:
				arrived = d.Universe != 1
				if arrived && (int(d.Universe) != p.Int(t, "universe") || len(d.Slots) != p.Int(t, "slots") || d.From != conn.LocalAddr().(*net.UDPAddr).AddrPort()) {
					t.Errorf("%s arrived as %+v", p.Name, d)
				}
			case <-time.After(patience):
				t.Fatalf("%s did not arrive", p.Name)
			}
		}
	}
	limit := time.Now().Add(patience)
	for c := r.Counters(); c != want; c = r.Counters() {
		if time.Now().After(limit) {
			t.Fatalf("counted %+v, want %+v", c, want)
		}
		time.Sleep(time.Millisecond)
	}
	if live < 4 {
		t.Errorf("only %d packets drove light", live)
	}
	if err := r.Close(); err != nil {
		t.Error(err)
	}
	if err := r.Close(); err != nil {
		t.Errorf("closed again: %v", err)
	}
}

func TestListenWhereNobodyCan(t *testing.T) {
	r := receive(t, ListenConfig{Addr: loopback4}, nil)
	for want, cfg := range map[string]ListenConfig{
		"address already in use":  {Addr: r.Addr()},
		"no address to listen on": {},
		"no universes to hear":    {Groups: Groups4, Interface: loopbackName(t)},
		"there is no universe 0":  {Addr: loopback4, Universes: []uint16{0}},
		`"nowhere0"`:              {Groups: Groups4, Interface: "nowhere0", Universes: []uint16{1}},
	} {
		if r, err := Listen(cfg, nil); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want something on %q", err, want)
			if err == nil {
				r.Close()
			}
		}
	}
}

// A cable is cut and comes back: the present frame is there within a second, and never a black one. Nobody calls Send
// meanwhile but for the last change, as the sender is not told.
func TestCableCutAndBack(t *testing.T) {
	for _, loopback := range []netip.AddrPort{loopback4, loopback6} {
		t.Run(loopback.Addr().String(), func(t *testing.T) {
			type seen struct {
				at    time.Time
				level byte
			}
			arrived := make(chan seen, 1000)
			r := receive(t, ListenConfig{Addr: loopback}, func(d *Datagram) { arrived <- seen{time.Now(), d.Slots[0]} })
			relay := dmxtest.NewRelay(t, r.Addr(), 1, dmxtest.Faults{})
			o, err := New(Config{To: []netip.AddrPort{relay.Addr()}, Universes: []dmx.Universe{1}, CID: testCID})
			if err != nil {
				t.Fatal(err)
			}
			defer o.Close()
			until := func(level byte) seen {
				t.Helper()
				limit := time.After(patience)
				for {
					select {
					case s := <-arrived:
						if s.level == 0 {
							t.Fatal("a black frame arrived")
						}
						if s.level == level {
							return s
						}
					case <-limit:
						t.Fatalf("level %d does not arrive", level)
					}
				}
			}
			frames := make([]dmx.Frame, 1)
			frames[0][0] = 50
			if err := o.Send(frames); err != nil {
				t.Fatal(err)
			}
			until(50)
			relay.Cut()
			frames[0][0] = 60
			for range 4 { // the change and its repeats are lost
				if err := o.Send(frames); err != nil {
					t.Fatal(err)
				}
			}
			limit := time.Now().Add(patience)
			for relay.Counts().CutAway < 4 && time.Now().Before(limit) {
				time.Sleep(time.Millisecond)
			}
			relay.Mend()
			mended := time.Now()
			if took := until(60).at.Sub(mended); took > time.Second {
				t.Errorf("the present frame came after %v", took)
			}
			if u := r.Universes(); len(u) != 1 || u[0].Sources[0].Lost < 4 {
				t.Errorf("the loss was not counted: %+v", u)
			}
		})
	}
}

// Over a bad network every frame that is used is a whole one, in order, and the last one always arrives.
func TestBadNetwork(t *testing.T) {
	type got struct{ a, b byte }
	arrived := make(chan got, 4096)
	r := receive(t, ListenConfig{Addr: loopback4}, func(d *Datagram) { arrived <- got{d.Slots[0], d.Slots[511]} })
	relay := dmxtest.NewRelay(t, r.Addr(), 44, dmxtest.Faults{Loss: 0.2, Duplicate: 0.2, Reorder: 0.2})
	o, err := New(Config{To: []netip.AddrPort{relay.Addr()}, Universes: []dmx.Universe{1}, CID: testCID})
	if err != nil {
		t.Fatal(err)
	}
	defer o.Close()
	frames := make([]dmx.Frame, 1)
	const last = 200
	for k := range last {
		frames[0][0], frames[0][511] = byte(k+1), byte(k+1)
		if err := o.Send(frames); err != nil {
			t.Fatal(err)
		}
		for limit := time.Now().Add(patience); relay.Counts().In < k+1 && time.Now().Before(limit); {
			time.Sleep(100 * time.Microsecond)
		}
	}
	before := byte(0)
	for limit := time.After(patience); before != last; {
		select {
		case g := <-arrived:
			if g.a != g.b || g.a < before {
				t.Fatalf("after frame %d comes %+v", before, g)
			}
			before = g.a
		case <-limit:
			t.Fatalf("the last frame does not arrive; %d was the last", before)
		}
	}
	s := r.Universes()[0].Sources[0]
	if s.Lost == 0 || s.Repeated == 0 || s.Late == 0 {
		t.Errorf("not all faults were noticed: %+v, %+v", s, relay.Counts())
	}
}

// tshark's dissector, an outside witness, reads from a capture of datagrams
// really received on loopback what was meant.
func TestTsharkReadsWhatArrived(t *testing.T) {
	sink, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(loopback4))
	if err != nil {
		t.Fatal(err)
	}
	defer sink.Close()
	here := sink.LocalAddr().(*net.UDPAddr).AddrPort()
	universes := []dmx.Universe{1, 4660, 63999}
	o, err := New(Config{To: []netip.AddrPort{here}, Universes: universes, Source: "T\u00e9l\u00e9 rig", Priority: new(150), CID: testCID, Terminate: true})
	if err != nil {
		t.Fatal(err)
	}
	defer o.Close()

	var capture bytes.Buffer
	pcap, err := dmxtest.NewPcap(&capture)
	if err != nil {
		t.Fatal(err)
	}
	if err := sink.SetReadDeadline(time.Now().Add(patience)); err != nil {
		t.Fatal(err)
	}
	var want []string
	buf := make([]byte, readSize)
	frames := make([]dmx.Frame, len(universes))
	take := func(k int, options string) {
		for i := 0; i < len(universes); {
			n, from, err := sink.ReadFromUDPAddrPort(buf)
			if err != nil {
				t.Fatal(err)
			}
			if kind, err := KindOf(buf[:n]); err != nil || kind == KindDiscovery {
				continue // the dissector does not know it
			}
			var d Data
			if err := d.Decode(buf[:n]); err != nil {
				t.Fatal(err)
			}
			if int(d.Sequence) != k%256 {
				continue // a keep-alive on a slow machine
			}
			if err := pcap.Datagram(time.Unix(int64(k), 0), from, netip.AddrPortFrom(here.Addr(), Port), buf[:n]); err != nil {
				t.Fatal(err)
			}
			want = append(want, strings.Join([]string{
				testCID.String(), "2", "T\u00e9l\u00e9 rig", "150", strconv.Itoa(k % 256), options,
				strconv.Itoa(int(universes[i])), "0", hex.EncodeToString(frames[i][:]),
			}, "\t"))
			i++
		}
	}
	for k := range 260 { // past the turn of the sequence numbers
		for i := range frames {
			for s := range frames[i] {
				frames[i][s] = byte(k + 3*i + 7*s)
			}
		}
		if err := o.Send(frames); err != nil {
			t.Fatal(err)
		}
		take(k, "0")
	}
	if err := o.Close(); err != nil {
		t.Fatal(err)
	}
	for k := range 3 {
		take(260+k, "64")
	}
	file := filepath.Join(t.TempDir(), "sacn.pcap")
	if err := os.WriteFile(file, capture.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	acn := []string{"-r", file, "-o", "acn.dmx_enable:TRUE", "-o", "acn.dmx_display_zeros:TRUE", "-o", "acn.dmx_display_leading_zeros:TRUE", "--enable-heuristic", "acn", "-o", "udp.check_checksum:TRUE"}
	if bad := dmxtest.Tshark(t, append(acn, "-Y", "_ws.malformed || _ws.expert.severity >= 0x600000")...); len(bad) > 0 {
		t.Errorf("the dissector finds %d packets malformed or wrong, the first: %s", len(bad), bad[0])
	}
	got := dmxtest.Tshark(t, append(acn, "-Y", "acn && udp.checksum.status == 1", "-T", "fields",
		"-e", "acn.cid", "-e", "acn.dmx_vector", "-e", "acn.dmx.source_name", "-e", "acn.dmx.priority", "-e", "acn.dmx.seq_number", "-e", "acn.dmx.options", "-e", "acn.dmx.universe", "-e", "acn.dmx.start_code2", "-e", "acn.dmx.data")...)
	if len(got) != len(want) {
		t.Fatalf("it reads %d packets, want %d", len(got), len(want))
	}
	for i := range got {
		if line := joinSlots(got[i]); line != want[i] {
			t.Fatalf("packet %d is read as\n%s, want\n%s", i, line, want[i])
		}
	}
}

// joinSlots turns the table of slots that the dissector draws in its last field, "001-020: 00 07 ... | ...", into
// plain hexadecimal.
func joinSlots(line string) string {
	at := strings.LastIndexByte(line, '\t') + 1
	var slots strings.Builder
	for _, row := range strings.Split(line[at:], ",") {
		if _, values, ok := strings.Cut(row, ": "); ok {
			slots.WriteString(strings.NewReplacer(" ", "", "|", "").Replace(values))
		}
	}
	return line[:at] + strings.ToLower(slots.String())
}
