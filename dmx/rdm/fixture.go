package rdm

import (
	"context"
	"errors"
	"fmt"
	"strings"
)

// Fixture is a light, or whatever else answers, on the line of a node. Texts are its own, cleaned for a screen; "" if it
// has none.
type Fixture struct {
	UID                        UID
	Label, Model, Manufacturer string
	StartAddress               int    // 1..512; 0 if it has none
	Footprint                  int    // slots it takes
	Mode                       int    // the present one, from 1; 0 if it has none
	Modes                      []Mode // those it described
	Missing                    string // what it did not tell and why, in words; "" if it told all
}

// Name is what to call it: its label, else its model, else its UID.
func (f *Fixture) Name() string {
	switch {
	case f.Label != "":
		return f.Label
	case f.Model != "":
		return f.Model
	}
	return f.UID.String()
}

// ModeName is its present mode in words: `mode 2 "4 channels"`; "" if it has none.
func (f *Fixture) ModeName() string { return f.modeName(f.Mode) }

func (f *Fixture) modeName(number int) string {
	for _, m := range f.Modes {
		if m.Number == number && m.Name != "" {
			return fmt.Sprintf("mode %d %q", number, m.Name)
		}
	}
	if number == 0 {
		return ""
	}
	return fmt.Sprintf("mode %d", number)
}

// maxModes is how many modes of a device are asked for by name.
const maxModes = 32

// Fixtures asks every device of the node's table what it is, in the order of their UIDs. An error of the table, a
// [TableError], comes together with the fixtures it did tell; a device that does not answer is
// in the list too, and says so in Missing. Only the context and the sending end it early.
func (c *Client) Fixtures(ctx context.Context) ([]Fixture, error) {
	uids, tableErr := c.Devices(ctx)
	var partial *TableError
	if tableErr != nil && !errors.As(tableErr, &partial) {
		return nil, tableErr
	}
	fixtures := make([]Fixture, 0, len(uids))
	for _, u := range uids {
		f, err := c.Fixture(ctx, u)
		if err != nil && !isDevices(err) {
			return fixtures, err
		}
		fixtures = append(fixtures, f)
	}
	return fixtures, tableErr
}

// isDevices says that an error is that of one device: others may do better.
func isDevices(err error) bool {
	var nack *NackError
	var silent *NoAnswerError
	var bad Malformed
	return errors.As(err, &nack) || errors.As(err, &silent) || errors.As(err, &bad)
}

// Fixture asks one device what it is. With an error of the device, which is that of its most important message, the fixture has its
// UID and says in Missing what is wrong. What it may leave out or refuses it may: that is told in Missing alone.
func (c *Client) Fixture(ctx context.Context, u UID) (Fixture, error) {
	f := Fixture{UID: u}
	var info Info
	if err := c.read(ctx, u, DeviceInfo, nil, info.Decode); err != nil {
		f.Missing = err.Error()
		return f, err
	}
	f.StartAddress, f.Footprint, f.Mode = info.StartAddress, info.Footprint, info.Mode
	q := questions{c: c, ctx: ctx, u: u}
	q.supported()
	q.text(DeviceLabel, &f.Label)
	q.text(DeviceModelDescription, &f.Model)
	q.text(ManufacturerLabel, &f.Manufacturer)
	for n := 1; n <= min(info.Modes, maxModes); n++ {
		q.mode(n, &f.Modes)
	}
	if info.Modes > maxModes && info.Mode > maxModes {
		q.mode(info.Mode, &f.Modes)
	}
	f.Missing = strings.Join(q.missing, "; ")
	return f, q.err
}

// read asks for a parameter and decodes the answer.
func (c *Client) read(ctx context.Context, u UID, p PID, data []byte, decode func([]byte) error) error {
	got, err := c.Get(ctx, u, p, data...)
	if err != nil {
		return err
	}
	if err := decode(got); err != nil {
		return fmt.Errorf("%v: what it tells of its %v is %w", u, p, err)
	}
	return nil
}

// questions are those that a device may leave unanswered.
type questions struct {
	c       *Client
	ctx     context.Context
	u       UID
	has     map[PID]bool // nil: it did not say what it supports
	missing []string
	err     error // that ends them all
}

func (q *questions) supported() {
	q.ask(SupportedParameters, nil, func(data []byte) (err error) {
		q.has, err = decodeSupported(data)
		return err
	})
}

func (q *questions) text(p PID, into *string) {
	q.ask(p, nil, func(data []byte) (err error) {
		*into, err = DecodeLabel(data)
		return err
	})
}

func (q *questions) mode(n int, into *[]Mode) {
	q.ask(DmxPersonalityDescription, []byte{byte(n)}, func(data []byte) error {
		var m Mode
		if err := m.Decode(data); err != nil {
			return err
		}
		if m.Number != n {
			return ErrData
		}
		*into = append(*into, m)
		return nil
	})
}

// ask asks unless the device says that it does not know the parameter. That it does not is no fault.
func (q *questions) ask(p PID, data []byte, decode func([]byte) error) {
	if q.err != nil || q.has != nil && !q.has[p] {
		return
	}
	err := q.c.read(q.ctx, q.u, p, data, decode)
	var nack *NackError
	switch {
	case err == nil:
	case errors.As(err, &nack) && (nack.Reason == UnknownPID || nack.Reason == UnsupportedClass):
	case isDevices(err):
		q.missing = append(q.missing, err.Error())
	default:
		q.err = err
	}
}
