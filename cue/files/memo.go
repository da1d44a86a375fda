package files

import (
	"limn/cue"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
)

// memo remembers parsed texts: cues say the same few levels, colours and times
// over and over, and ten thousand of them should load in a moment.
type memo struct {
	camera  colour.White
	levels  map[string]*cue.Level
	colours map[string]*colour.Spec
	times   map[string]*quantity.Duration
	stops   map[string]*quantity.Stops
}

func (m *memo) level(text string) (*cue.Level, error) {
	return remember(&m.levels, text, cue.ParseLevel)
}

// colour also sees that a shift from the camera's white stays a white; without a
// camera's white (its file has a fault) that cannot be told.
func (m *memo) colour(text string) (*colour.Spec, error) {
	return remember(&m.colours, text, func(text string) (colour.Spec, error) {
		spec, err := colour.ParseSpec(text)
		if err == nil && m.camera.Kelvin > 0 {
			err = spec.Check(m.camera)
		}
		return spec, err
	})
}

func (m *memo) time(text string) (*quantity.Duration, error) {
	return remember(&m.times, text, quantity.ParseDuration)
}

func (m *memo) change(text string) (*quantity.Stops, error) {
	return remember(&m.stops, text, quantity.ParseStops)
}

func remember[T any](known *map[string]*T, text string, parse func(string) (T, error)) (*T, error) {
	if v, ok := (*known)[text]; ok {
		return v, nil
	}
	v, err := parse(text)
	if err != nil {
		return nil, err
	}
	if *known == nil {
		*known = map[string]*T{}
	}
	(*known)[text] = &v
	return &v, nil
}
