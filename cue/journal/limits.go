package journal

import "time"

// What the journal holds at most, and how soon it acts.
const (
	// MaxText is the most bytes of a command or a warning.
	MaxText = 64 << 10
	// MaxLine is the most bytes of a line with its newline.
	MaxLine = 1 << 20
	// MaxFrame is the greatest frame number: numbers up to it are exact in JSON.
	MaxFrame = 1 << 53
	// MaxFiles is the most files of a set.
	MaxFiles = 4096
	// MaxFile is the most bytes of one file.
	MaxFile = 16 << 20
	// MaxSet is the most bytes of all files of a set.
	MaxSet = 32 << 20
	// MaxPath is the most bytes of a file's path in its set.
	MaxPath = 1024
	// MaxDamage is how many damaged lines a Run lists; the rest are counted.
	MaxDamage = 20

	// QueueLength is how many entries may wait for the disk.
	QueueLength = 4096
	// QueueBytes is how many bytes of texts and files they may hold.
	QueueBytes = 64 << 20
	// HeldBytes is how many bytes of files a run remembers, to keep them again
	// where the folder was removed under it.
	HeldBytes = 64 << 20

	// KeepFiles is of how many runs the files are kept, so that they can be played again.
	KeepFiles = 30
	// KeepRuns is how many journals are kept.
	KeepRuns = 200

	// BeatEvery is how often the frame reached is written. With a tick of the clock and
	// the writing, what is on record is at most 0.5 s old.
	BeatEvery = 400 * time.Millisecond
	// SyncEvery is how long azimuths, frames reached and settles may stay in the operating
	// system's memory: they are many, and a disk wears.
	SyncEvery = 5 * time.Second
	// EndWithin is how long Close waits for a disk that does not answer.
	EndWithin = 3 * time.Second

	// A disk that fails is tried again after the first of these, then after twice
	// as long each time, up to the last.
	firstRetry = BeatEvery
	lastRetry  = 10 * time.Second

	// azimuthRoom is how full the queue may be before azimuths are left out: the
	// rest is for commands, which are worth more.
	azimuthRoom = QueueLength * 3 / 4
	// batchBytes is about how many bytes are encoded before they are written.
	batchBytes = 256 << 10
)
