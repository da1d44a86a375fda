package main

import (
	"bufio"
	"bytes"
	"encoding/hex"
	"encoding/json"
	"strconv"

	"limn/cue"
	"limn/cue/operate"
	"limn/dmx/pace"
	"limn/fixtures"
)

// azimuthDecimals of the table's angle, well below what a table can do.
const azimuthDecimals = 4

// jsonTrace prints frames as JSON lines. An hour of a shoot is 158400 of them,
// so the text is put together by hand and no frame allocates.
type jsonTrace struct {
	out      *bufio.Writer
	changes  bool
	cells    bool
	sources  []tracedSource
	universe [][]byte          // `"1":"`, in the order of the frames
	cues     map[string][]byte // names as JSON
	head     []byte
	body     []byte // what follows k and t; kept to find repeats
	before   []byte
}

// tracedSource is one source of a trace, with its name as a JSON key.
type tracedSource struct {
	index int
	key   []byte
	hand  bool
}

// givesLight says whether a source takes part in light; a motor does not.
func givesLight(s *fixtures.Source) bool { return s.Hand || s.Profile != nil && s.Profile.HasLight() }

func newJSONTrace(shoot *cue.Shoot, universes []int, out *bufio.Writer, changes, cells bool) *jsonTrace {
	t := &jsonTrace{out: out, changes: changes, cells: cells, cues: map[string][]byte{"": []byte("null")}}
	for i := range shoot.Rig.Sources {
		if s := &shoot.Rig.Sources[i]; givesLight(s) {
			t.sources = append(t.sources, tracedSource{index: i, key: append(quoted(s.Name), ':'), hand: s.Hand})
		}
	}
	for _, u := range universes {
		t.universe = append(t.universe, append(quoted(strconv.Itoa(u)), ':', '"'))
	}
	for _, name := range shoot.CueNames() {
		t.cues[name] = quoted(name)
	}
	return t
}

// quoted is a text as JSON.
func quoted(text string) []byte { return encoded(text) }

// encoded is a text, or an object of texts and lists, as JSON in one line.
func encoded(v any) []byte {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		panic(err) // what is made of texts always encodes
	}
	return bytes.TrimRight(b.Bytes(), "\n")
}

func (t *jsonTrace) frame(f *operate.Frame) error {
	b := append(t.body[:0], `,"cue":`...)
	b = append(b, t.cues[f.Cue]...)
	b = append(b, `,"state":"`...)
	b = append(b, f.Status.Motion...)
	b = append(b, `","azimuth":`...)
	b = appendFixed(b, f.Azimuth, azimuthDecimals)
	b = append(b, `,"light":{`...)
	for i := range t.sources {
		src := &t.sources[i]
		b = appendTold(append(comma(b, i), src.key...), &f.Asked[src.index])
	}
	if t.cells {
		b = t.appendCells(append(b, `},"cells":{`...), f)
	}
	b = append(b, `},"reached":{`...)
	for i := range t.sources {
		src := &t.sources[i]
		b = append(comma(b, i), src.key...)
		if src.hand {
			b = append(b, "null"...)
		} else {
			b = appendTold(b, &f.Reached[src.index])
		}
	}
	b = append(b, `},"frames":{`...)
	for i := range f.Frames {
		b = append(comma(b, i), t.universe[i]...)
		b = append(hex.AppendEncode(b, f.Frames[i][:]), '"')
	}
	b = append(b, '}')
	b = t.appendTrims(b, f)
	b = appendSaid(b, f.Said)
	t.body = append(b, "}\n"...)
	if t.changes && bytes.Equal(t.body, t.before) {
		return nil
	}
	t.head = append(t.head[:0], `{"version":1,"k":`...)
	t.head = strconv.AppendInt(t.head, f.K, 10)
	t.head = append(t.head, `,"t":`...)
	t.head = strconv.AppendFloat(t.head, pace.Offset(f.K).Seconds(), 'f', 6, 64)
	if _, err := t.out.Write(t.head); err != nil {
		return err
	}
	_, err := t.out.Write(t.body)
	t.body, t.before = t.before, t.body
	return err
}

// appendCells lists the cells of each source whose cells differ. A dark one has
// the chromaticity of the whole.
func (t *jsonTrace) appendCells(b []byte, f *operate.Frame) []byte {
	n := 0
	for i := range t.sources {
		src := &t.sources[i]
		cells := f.Cells[src.index]
		if len(cells) == 0 {
			continue
		}
		b = append(append(comma(b, n), src.key...), '[')
		n++
		for c, light := range cells {
			told := operate.Told{XY: f.Asked[src.index].XY, Y: light.Y}
			if xy, lit := light.XY(); lit {
				told.XY = xy
			}
			b = appendTold(comma(b, c), &told)
		}
		b = append(b, ']')
	}
	return b
}

func comma(b []byte, i int) []byte {
	if i > 0 {
		b = append(b, ',')
	}
	return b
}

func appendTold(b []byte, c *operate.Told) []byte {
	b = append(b, `{"x":`...)
	b = appendFixed(b, c.XY.X, chromaticityDecimals)
	b = append(b, `,"y":`...)
	b = appendFixed(b, c.XY.Y, chromaticityDecimals)
	b = append(b, `,"Y":`...)
	b = appendDigits(b, c.Y, lightDigits)
	return append(b, '}')
}
