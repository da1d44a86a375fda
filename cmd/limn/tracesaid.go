package main

import (
	"limn/cue/operate"
)

// What a trace says beside the light: the commands of a frame with their answers,
// and what is trimmed. Neither is there where there is nothing to say.

// appendTrims adds the lights that are not as they are kept, as they play and as
// they are kept.
func (t *jsonTrace) appendTrims(b []byte, f *operate.Frame) []byte {
	if f.Scene == nil || f.Scene == f.Kept {
		return b
	}
	n := 0
	for i := range t.sources {
		src := &t.sources[i]
		now, kept := &f.Scene.Light[src.index], &f.Kept.Light[src.index]
		if now.Level == kept.Level && now.Colour == kept.Colour {
			continue
		}
		if n == 0 {
			b = append(b, `,"trims":{`...)
		}
		b = append(append(comma(b, n), src.key...), `{"level":`...)
		b = append(b, quoted(now.Level)...)
		b = append(append(b, `,"colour":`...), quoted(now.Colour)...)
		b = append(append(b, `,"kept_level":`...), quoted(kept.Level)...)
		b = append(append(b, `,"kept_colour":`...), quoted(kept.Colour)...)
		b = append(b, '}')
		n++
	}
	if n > 0 {
		b = append(b, '}')
	}
	return b
}

// saidObject is a command and the answer to it.
type saidObject struct {
	Command  string          `json:"command"`
	Refused  bool            `json:"refused,omitempty"`
	Notices  []string        `json:"notices,omitempty"`
	Prompts  []string        `json:"prompts,omitempty"`
	Question *questionObject `json:"question,omitempty"`
}

type questionObject struct {
	Text    string         `json:"text"`
	Details []string       `json:"details,omitempty"`
	Choices []choiceObject `json:"choices"`
}

type choiceObject struct {
	Command string `json:"command"`
	Text    string `json:"text"`
}

// appendSaid adds the commands that acted in the frame.
func appendSaid(b []byte, said []operate.Said) []byte {
	if len(said) == 0 {
		return b
	}
	b = append(b, `,"said":[`...)
	for i, s := range said {
		b = append(comma(b, i), encoded(saidOf(s))...)
	}
	return append(b, ']')
}

func saidOf(s operate.Said) saidObject {
	o := saidObject{Command: s.Command.String(), Refused: s.Reply.Refused, Notices: s.Reply.Notices, Prompts: s.Reply.Prompts}
	if ask := s.Reply.Ask; ask != nil {
		o.Question = &questionObject{Text: ask.Text, Details: ask.Details}
		for _, c := range ask.Choices {
			o.Question.Choices = append(o.Question.Choices, choiceObject{c.Command, c.Text})
		}
	}
	return o
}
