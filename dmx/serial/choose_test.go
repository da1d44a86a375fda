package serial

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var (
	boxA    = Adapter{Port: "/dev/ttyUSB0", USB: true, Vendor: 0x0403, Product: 0x6001, Serial: "AAAA", Socket: "1-1:1.0", Means: MeansEither}
	boxB    = Adapter{Port: "/dev/ttyUSB1", USB: true, Vendor: 0x0403, Product: 0x6001, Serial: "BBBB", Socket: "1-2:1.0", Means: MeansEither}
	cheap1  = Adapter{Port: "/dev/ttyUSB2", USB: true, Vendor: 0x1a86, Product: 0x7523, Socket: "1-3:1.0", Means: MeansLine}
	cheap2  = Adapter{Port: "/dev/ttyUSB3", USB: true, Vendor: 0x1a86, Product: 0x7523, Socket: "1-4:1.0", Means: MeansLine}
	unknown = Adapter{Port: "/dev/ttyACM0", USB: true, Vendor: 0x2341, Product: 0x0043, Text: "board", Socket: "1-5:1.0"}
	modem   = Adapter{Port: "/dev/ttyUSB4", USB: true, Vendor: 0x1234, Product: 0x5678, Serial: "M", Socket: "1-6:1.0", Means: MeansModem}
	console = Adapter{Port: "/dev/ttyS0", Means: MeansConsole}
)

// moved is an adapter after it was plugged in elsewhere.
func moved(a Adapter, port, socket string) Adapter {
	a.Port, a.Socket = port, socket
	return a
}

func TestChoose(t *testing.T) {
	for _, c := range []struct {
		what  string
		list  []Adapter
		name  string
		last  *Adapter
		taken map[string]string // owners by port
		want  string            // port
		err   string
	}{
		{what: "the only one", list: []Adapter{unknown, boxA, console}, want: boxA.Port},
		{what: "none", err: "no USB adapter; plug it in"},
		{what: "ids that are not known", list: []Adapter{unknown, console}, err: `kind = "usb raw" for a plain line, "usb widget" if it frames packets itself: /dev/ttyACM0, "board", 2341:0043`},
		{what: "two", list: []Adapter{boxA, boxB}, err: "2 USB adapters; name one by its port or serial number: /dev/ttyUSB0, 0403:6001, serial number AAAA; /dev/ttyUSB1"},
		{what: "two, one taken", list: []Adapter{boxA, boxB}, taken: map[string]string{boxA.Port: "left"}, want: boxB.Port},
		{what: "all taken", list: []Adapter{boxA}, taken: map[string]string{boxA.Port: "left"}, err: `output "left" has the adapter /dev/ttyUSB0`},

		{what: "by serial number", list: []Adapter{boxA, boxB}, name: "bbbb", want: boxB.Port},
		{what: "by ids", list: []Adapter{boxA, cheap1}, name: "1A86:7523", want: cheap1.Port},
		{what: "by ids, two", list: []Adapter{cheap1, cheap2}, name: "1a86:7523", err: "2 adapters 1a86:7523"},
		{what: "by ids that are not known here", list: []Adapter{unknown}, name: "2341:0043", want: unknown.Port},
		{what: "not there", list: []Adapter{boxA}, name: "CCCC", err: "no adapter CCCC; plug it in, or name one of these: /dev/ttyUSB0"},
		{what: "not there, nor others", name: "CCCC", err: "no adapter CCCC; plug it in"},
		{what: "a modem by its number", list: []Adapter{modem}, name: "M", err: "/dev/ttyUSB4 is a modem"},

		{what: "by path", list: []Adapter{boxA, boxB}, name: boxB.Port, want: boxB.Port},
		{what: "a path that no list has", list: []Adapter{boxA}, name: "/dev/pts/7", want: "/dev/pts/7"},
		{what: "another system's name", name: "COM12", want: "COM12"},
		{what: "the console", list: []Adapter{console}, name: console.Port, err: "/dev/ttyS0 is this system's console, no DMX adapter"},
		{what: "a taken path", list: []Adapter{boxA}, name: boxA.Port, taken: map[string]string{boxA.Port: "left"}, err: `output "left"`},

		{what: "again, elsewhere", list: []Adapter{boxB, moved(boxA, "/dev/ttyUSB9", "1-9:1.0")}, name: boxA.Port, last: &boxA, want: "/dev/ttyUSB9"},
		{what: "again, the ports swapped", list: []Adapter{moved(boxA, boxB.Port, "x"), moved(boxB, boxA.Port, "y")}, name: boxA.Port, last: &boxA, want: boxB.Port},
		{what: "again, without a number, same socket", list: []Adapter{cheap2, moved(cheap1, "/dev/ttyUSB9", cheap1.Socket)}, name: cheap1.Port, last: &cheap1, want: "/dev/ttyUSB9"},
		{what: "again, without a number, another socket, the only one", list: []Adapter{boxA, moved(cheap1, "/dev/ttyUSB9", "z")}, last: &cheap1, want: "/dev/ttyUSB9"},
		{
			what: "again, without a number, the other one is taken", list: []Adapter{cheap2, moved(cheap1, "/dev/ttyUSB9", "z")}, name: cheap1.Port, last: &cheap1,
			taken: map[string]string{cheap2.Port: "right"}, want: "/dev/ttyUSB9",
		},
		{what: "another one at its port", list: []Adapter{moved(boxB, boxA.Port, "x")}, name: boxA.Port, last: &boxA, want: boxA.Port},
		{what: "another output's at its port", list: []Adapter{moved(boxB, boxA.Port, "x")}, name: boxA.Port, last: &boxA, taken: map[string]string{boxA.Port: "right"}, err: `output "right"`},
	} {
		t.Run(c.what, func(t *testing.T) {
			got, err := choose(c.list, choice{c.name, c.last, func(a Adapter) string { return c.taken[a.Port] }})
			switch {
			case c.err == "" && (err != nil || got.Port != c.want):
				t.Errorf("chose %v with %v, want %s", got, err, c.want)
			case c.err != "" && (err == nil || !strings.Contains(err.Error(), c.err)):
				t.Errorf("chose %v with %v, want an error with %q", got, err, c.err)
			case c.err != "" && words("/dev/x", err) != err.Error():
				t.Errorf("its words become %q", words("/dev/x", err))
			}
		})
	}
}

// A path may be a link, as those that the system makes by serial number are.
func TestChooseThroughALink(t *testing.T) {
	dir := t.TempDir()
	real, link := filepath.Join(dir, "ttyUSB5"), filepath.Join(dir, "by-id")
	if err := os.WriteFile(real, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(real, link); err != nil {
		t.Fatal(err)
	}
	real, err := filepath.EvalSymlinks(real)
	if err != nil {
		t.Fatal(err)
	}
	got, err := choose([]Adapter{moved(boxA, real, "1-1:1.0")}, choice{name: link, taken: func(Adapter) string { return "" }})
	if err != nil || got.Port != link || got.Serial != boxA.Serial {
		t.Errorf("chose %+v, %v", got, err)
	}
}

// Whatever is plugged in, an output never takes what another has, and never a console or a modem.
func TestChooseNeverTakesWhatIsNotIts(t *testing.T) {
	all := []Adapter{boxA, boxB, cheap1, cheap2, unknown, modem, console}
	rapid.Check(t, func(t *rapid.T) {
		list := rapid.Permutation(all).Draw(t, "list")[:rapid.IntRange(0, len(all)).Draw(t, "n")]
		owned := rapid.SliceOf(rapid.SampledFrom(all)).Draw(t, "owned")
		c := choice{
			name: rapid.SampledFrom([]string{"", "AAAA", "1a86:7523", boxA.Port, console.Port, modem.Port}).Draw(t, "name"),
			taken: func(a Adapter) string {
				for _, o := range owned {
					if o.same(a) {
						return "other"
					}
				}
				return ""
			},
		}
		got, err := choose(list, c)
		if err == nil && (c.taken(got) != "" || got.Means == MeansConsole || got.Means == MeansModem) {
			t.Fatalf("chose %v", got)
		}
	})
}

func TestNamesOfMany(t *testing.T) {
	var many []Adapter
	for range 9 {
		many = append(many, boxA)
	}
	if got := nameSome(many); !strings.HasSuffix(got, "and 5 more") {
		t.Errorf("%q", got)
	}
}

func TestOwners(t *testing.T) {
	var w owners
	left, right := &Output{cfg: Config{Name: "left"}}, &Output{cfg: Config{Name: "right"}}
	if by := w.claim(left, boxA); by != "" {
		t.Fatalf("claimed by %q", by)
	}
	if by := w.claim(right, moved(boxA, "/dev/ttyUSB9", "9")); by != "left" {
		t.Errorf("the same adapter elsewhere is %q's", by)
	}
	if by := w.claim(left, boxB); by != "" { // a spare
		t.Errorf("claimed by %q", by)
	}
	w.unclaim(left, &boxA) // which does not open
	if by := w.taken(right, boxA); by != "left" {
		t.Errorf("after a spare that did not open, the adapter is %q's", by)
	}
	w.release(left)
	if by := w.claim(left, boxA); by != "" || len(w.has) != 0 {
		t.Errorf("a closed output claims: %q, %v", by, w.has)
	}
	if by := w.claim(right, boxA); by != "" {
		t.Errorf("after its release it is %q's", by)
	}
	w.unclaim(right, nil)
	if !reflect.DeepEqual(w.has, map[*Output]Adapter{}) {
		t.Errorf("left over: %v", w.has)
	}
}

// What a lister says goes to the operator, unless the port is named and can be tried without it.
func TestAListerThatFails(t *testing.T) {
	broken := errors.New("no list here")
	c := cfg
	c.Kind, c.Port, c.List = Auto, "AAAA", func() ([]Adapter, error) { return nil, broken }
	o := newOutput(c, func(string, Kind) (port, error) { t.Error("a port was opened"); return nil, broken })
	if err := o.Send(frame(1)); !errors.Is(err, broken) || o.Status().Text != broken.Error() {
		t.Errorf("%v, %+v", err, o.Status())
	}
	c.Kind, c.Port = Raw, "/dev/ttyUSB7"
	o = newOutput(c, func(string, Kind) (port, error) { return &fast{}, nil })
	if err := o.Send(frame(1)); err != nil {
		t.Error(err)
	}
	if err := o.Close(); err != nil {
		t.Error(err)
	}
}
