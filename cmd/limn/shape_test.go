package main

import (
	"bufio"
	"bytes"
	"testing"
	"time"

	"limn/cue"
	"limn/cue/operate"
	"limn/cue/timeline"
	"limn/dmx"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/profiles/tomlfile"
)

// The JSON that programs read, letter for letter. These files change only with
// jsonVersion, or by a member more.

// aShoot is a shoot by hand: a light, a light set by hand, a motor.
func aShoot() *cue.Shoot {
	return &cue.Shoot{
		Cues: []cue.Cue{{Name: `the "bow" <1>`}},
		Rig: &fixtures.Rig{Sources: []fixtures.Source{
			{Name: "sky", Profile: &fixtures.Profile{Slots: []fixtures.Slot{{Kind: fixtures.SlotDimmer, At: 1}}}},
			{Name: "torch", Hand: true},
			{Name: "table", Profile: &fixtures.Profile{Slots: []fixtures.Slot{{Kind: fixtures.SlotAzimuth, At: 1}}}},
		}},
	}
}

func TestTraceJSONShape(t *testing.T) {
	var b bytes.Buffer
	out := bufio.NewWriter(&b)
	trace := newJSONTrace(aShoot(), []int{3}, out, false, false)
	f := &operate.Frame{
		Status:  timeline.Status{Cue: -1, Motion: cue.Settled},
		Asked:   []operate.Told{{XY: colour.XY{X: 0.3127, Y: 0.329}}, {XY: colour.XY{X: 0.3127, Y: 0.329}}, {}},
		Reached: make([]operate.Told, 3),
		Frames:  make([][512]byte, 1),
	}
	f.Reached[0].XY = f.Asked[0].XY
	show := func() {
		if err := trace.frame(f); err != nil {
			t.Fatal(err)
		}
	}
	show()
	f.K, f.Cue, f.Status.Motion, f.Azimuth = 1, `the "bow" <1>`, cue.Fading, 35.25
	f.Asked[0].Y, f.Asked[1].Y, f.Reached[0].Y = 1.0/3, 1e-9, 0.33334
	f.Frames[0][0], f.Frames[0][511] = 0x0a, 0xff
	show()
	// With --cells: none, then those of a ramp, a dark one among them.
	trace = newJSONTrace(aShoot(), []int{3}, out, false, true)
	f.Cells = [][]colour.XYZ{{}, nil, nil}
	show()
	f.Cells[0] = []colour.XYZ{colour.XY{X: 0.44, Y: 0.4}.XYZ(0.5), {}}
	show()
	out.Flush()
	golden(t, "trace-json", b.String())
}

func TestListenJSONShape(t *testing.T) {
	var b bytes.Buffer
	reports := []portReport{
		{PortAddress: 1, From: deskA, Senders: 2, Received: 96, Fresh: 44, Lost: 3, Changed: []int{1, 2}, Length: 4, Data: dmx.Frame{9, 8, 7, 6}},
		{PortAddress: 17, From: deskB, Senders: 0, Received: 2, Length: 2},
	}
	lights := []toldLight{
		{name: "sky", light: colour.White{Kelvin: 5600, Duv: 0.001}.XY().XYZ(0.25), level: 0.5},
		{name: "lantern", level: 0},
		{name: "glow", light: colour.XY{X: 0.69, Y: 0.3}.XYZ(0.125), level: 1},
		{name: "torch", hand: true},
	}
	for _, o := range []any{
		listenObject(1500*time.Millisecond, 500*time.Millisecond, reports, lights, 2, &reader{}),
		listenObject(2*time.Second, time.Millisecond, nil, nil, 0, nil),
	} {
		if err := writeJSON(&b, o); err != nil {
			t.Fatal(err)
		}
	}
	golden(t, "listen-json", b.String())
}

func TestCheckJSONShape(t *testing.T) {
	var b bytes.Buffer
	problems := []tomlfile.Problem{
		{Pos: tomlfile.Pos{File: "harbour/cues.toml", Line: 3, Col: 1}, What: "unknown key fad", Cure: `did you mean "fade"?`},
		{Pos: tomlfile.Pos{File: "harbour/rig.toml", Line: 9, Col: 14}, Warning: true, What: "doubtful"},
	}
	if err := checkJSON(&b, "harbour", nil, problems); report(&b, err) != statusFiles {
		t.Errorf("status of %v", err)
	}
	golden(t, "check-json", b.String())
}
