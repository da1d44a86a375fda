package files

import (
	"reflect"
	"testing"
	"testing/fstest"
	"time"

	"limn/cue"
	"limn/fixtures"
)

// Every key of an output reaches the domain, and one universe may go out by all of them.
func TestOutputs(t *testing.T) {
	shoot, problems := Load("shoot", fstest.MapFS{
		"rig.toml": {Data: []byte(`
[timecode]
to = "10.0.0.60"
rate = 29.97
stream = 2

[[output]]
name = "nodes"
kind = "artnet"
to = "discover"
interface = "eth0"
poll = ["10.0.0.5"]
port = 7000
sync = true
rate = 30
keep-alive = "0.5 s"
universes = [1]
offset = -1

[[output]]
name = "named"
kind = "artnet"
to = ["10.1.0.5", "hull.local:6455"]
sync = "unicast"
universes = [1]

[[output]]
name = "air"
kind = "sacn"
interface = "eth0"
ip = ["v4", "v6"]
priority = 0
source-name = "Kittiwake desk"
sync = 7962
hops = 2
universes = [1, 2]
on-exit = "fade"

[[output]]
name = "adapter"
kind = "usb"
rts = "low"
universes = [1]

[[source]]
name     = "sky"
role     = "key"
profile  = "dimmer"
universe = 1
address  = 1

[[source]]
name     = "horizon"
role     = "background"
profile  = "dimmer"
universe = 2
address  = 1
`)},
		"cues.toml": {Data: []byte("[[cue]]\nname = \"on\"\n[cue.light]\nsky = \"50 %\"\n")},
	})
	if shoot == nil {
		t.Fatal(problems)
	}
	for i := range shoot.Outputs {
		shoot.Outputs[i].Origin = fixtures.Origin{}
	}
	want := []cue.Output{
		{
			Name: "nodes", Kind: cue.ArtNet, Discover: true, Interface: "eth0", Poll: []string{"10.0.0.5"}, Port: 7000,
			Sync: cue.SyncBroadcast, Rate: 30, KeepAlive: 500 * time.Millisecond, Universes: []int{1}, Offset: -1,
			OnExit: cue.Leave, Priority: cue.UsualPriority,
		},
		{
			Name: "named", Kind: cue.ArtNet, To: []string{"10.1.0.5", "hull.local:6455"}, Sync: cue.SyncUnicast,
			Universes: []int{1}, OnExit: cue.Leave, Priority: cue.UsualPriority,
		},
		{
			Name: "air", Kind: cue.SACN, Interface: "eth0", IP4: true, IP6: true, Source: "Kittiwake desk", SyncUniverse: 7962,
			Hops: 2, Universes: []int{1, 2}, OnExit: cue.FadeOut,
		},
		{Name: "adapter", Kind: cue.USB, LowRTS: true, Universes: []int{1}, OnExit: cue.Leave, Priority: cue.UsualPriority},
	}
	if !reflect.DeepEqual(shoot.Outputs, want) {
		t.Errorf("got  %+v\nwant %+v", shoot.Outputs, want)
	}
	shoot.TimeCode.Origin = fixtures.Origin{}
	if got, want := shoot.TimeCode, (cue.TimeCode{To: "10.0.0.60", Rate: "29.97", Stream: 2}); got != want {
		t.Errorf("time code %+v, want %+v", got, want)
	}
}

// Spellings of one destination are one destination.
func TestNormalPlace(t *testing.T) {
	for _, c := range []struct{ a, b, kind string }{
		{"10.0.0.5", "10.0.0.5:6454", cue.ArtNet},
		{"::ffff:10.0.0.5", "10.0.0.5", cue.SACN},
		{"Hull.local.", "hull.local:5568", cue.SACN},
		{"fe80::1", "[fe80::1]:5568", cue.SACN},
	} {
		if a, b := normalPlace(c.a, c.kind), normalPlace(c.b, c.kind); a != b {
			t.Errorf("%s is %s, %s is %s", c.a, a, c.b, b)
		}
	}
}
