package cue

import "limn/fixtures"

// What a shoot may hold. The limits are far above a day's work; they keep a
// mistaken or hostile file from taking all memory.
const (
	// MaxCues is the most cues, MaxSources the most sources.
	MaxCues    = 20_000
	MaxSources = 512
	// MaxLights is the most cues times sources: each pair becomes one Light.
	MaxLights = 1_000_000
	// MaxNames is the most angles, looks, groups, cards, sequences or outputs, of each kind.
	MaxNames = 2_000
	// MaxUniverses is the most universes of one output.
	MaxUniverses = 512
	// MaxSteps is the most steps of one sequence.
	MaxSteps = 10_000
)

// Shoot is everything of a shoot folder: the written parts first, then what
// they resolve to. It is read-only once resolved; players and screens share it.
type Shoot struct {
	Dir       string // the folder, as messages name it
	Subject   Subject
	Camera    Camera
	Turntable Turntable
	Outputs   []Output
	TimeCode  TimeCode
	Rig       *fixtures.Rig
	Emissions []Emission // parallel to Rig.Sources, or none
	Supply    Supply
	Room      Room
	Cards     []Card
	Groups    []Group
	Angles    []Angle
	Looks     []Look
	Cues      []Cue
	Sequences []Sequence
	Work      Work

	// AllowFlashing takes back the refusal of automatic sequences that flash more
	// often than is safe to look at.
	AllowFlashing bool

	// Partial says that part of the files could not be read. What seems to be
	// missing may be there, so Resolve keeps silent about it.
	Partial bool

	Resolved []Resolved // parallel to Cues, filled by Resolve
}

// CueIndex is the cue of that name, -1 if there is none.
func (s *Shoot) CueIndex(name string) int {
	for i := range s.Cues {
		if s.Cues[i].Name == name {
			return i
		}
	}
	return -1
}

// CueNames lists the cues in the order they are stepped through.
func (s *Shoot) CueNames() []string {
	names := make([]string, len(s.Cues))
	for i := range s.Cues {
		names[i] = s.Cues[i].Name
	}
	return names
}

// Key is the source the others are balanced against, -1 if no source has that role.
func (s *Shoot) Key() int {
	if s.Rig == nil {
		return -1
	}
	for i := range s.Rig.Sources {
		if s.Rig.Sources[i].Role == fixtures.Key {
			return i
		}
	}
	return -1
}
