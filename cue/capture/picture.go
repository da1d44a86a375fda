package capture

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"limn/cue"
)

// Picture is what is known of one picture.
type Picture struct {
	Name     string
	Sequence string
	Cue      string
	Azimuth  float64
	HasAngle bool
	Step     int // from 1,
	Steps    int // of so many
	Take     int
	Frame    int
	Exposure int
	Focus    float64 // metres; 0 = as it is set
	Pass     string  // source alone, "all", or "" where there are no passes
	Image    int     // 0 = not told
	Text     string  // what it is, in words
}

// Of is the picture of entry i of a sequence told out, in a take. image is the camera's number, 0 = not told.
func Of(s *cue.Shoot, q *cue.Sequence, shots []cue.Shot, i, take, image int) Picture {
	shot := &shots[i]
	p := Picture{
		Name: shot.TakeName(take), Sequence: q.Name, Cue: s.Cues[shot.Cue].Name,
		Azimuth: shot.Azimuth, HasAngle: shot.HasTurn, Step: i + 1, Steps: len(shots), Take: max(take, 1),
		Frame: shot.Frame, Exposure: shot.Exposure, Image: image, Text: shot.Say(len(shots), i+1),
	}
	if shot.FocusNo > 0 {
		p.Focus = shot.Focus.Metres
	}
	if shot.Pass > 0 {
		p.Pass = "all"
		if shot.Alone >= 0 {
			p.Pass = shot.Light
		}
	}
	return p
}

// Prompt tells a person what to do: "frame 3 of 7, focus 0.482 m: fire, confirm".
func (p Picture) Prompt() string {
	text := p.Text
	if text == "" {
		text = fmt.Sprintf("frame %d of %d", p.Step, p.Steps)
	}
	if p.Image > 0 {
		text += fmt.Sprintf(", image %d", p.Image)
	}
	return text + ": fire, confirm"
}

// Environment is what an external command is told, as "NAME=value".
func (p Picture) Environment() []string {
	number := func(n int) string {
		if n == 0 {
			return ""
		}
		return strconv.Itoa(n)
	}
	decimal := func(v float64, known bool) string {
		if !known {
			return ""
		}
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	pairs := [][2]string{
		{"NAME", p.Name},
		{"SEQUENCE", p.Sequence},
		{"CUE", p.Cue},
		{"ANGLE", decimal(p.Azimuth, p.HasAngle)},
		{"STEP", number(p.Step)},
		{"STEPS", number(p.Steps)},
		{"TAKE", number(p.Take)},
		{"FRAME", number(p.Frame)},
		{"EXPOSURE", number(p.Exposure)},
		{"FOCUS", decimal(p.Focus, p.Focus > 0)},
		{"PASS", p.Pass},
		{"IMAGE", number(p.Image)},
	}
	out := make([]string, len(pairs))
	for i, v := range pairs {
		out[i] = "LIMN_" + v[0] + "=" + strings.ReplaceAll(v[1], "\x00", "")
	}
	return out
}

// Taker has pictures taken. Take blocks until the picture is taken, or tells why it is not; its error
// is for the operator. It may be called by one goroutine at a time.
type Taker interface {
	Take(ctx context.Context, p Picture) error
}

// Dry takes no picture and says that it did.
type Dry struct{}

// Take is done at once.
func (Dry) Take(ctx context.Context, _ Picture) error { return ctx.Err() }
