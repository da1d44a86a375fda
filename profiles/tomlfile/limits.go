package tomlfile

// Limits. A file beyond one of them is reported, never a reason to fail otherwise.
const (
	// MaxFileSize is the most bytes a file may have. A shoot of 10,000 cues has
	// about 1.4 MB.
	MaxFileSize = 16 << 20

	// MaxDepth is how deep tables, lists and dotted keys may nest, together. The
	// deepest file of ours has 4 levels.
	MaxDepth = 32

	// MaxFaults is how many syntax faults are reported of one file before it is
	// given up: beyond that it is likely no TOML at all.
	MaxFaults = 50

	// MaxValues is about how many values a file may have, counted by the signs that
	// stand between them. A shoot of 10,000 cues has a fifth of it.
	MaxValues = 1 << 20

	// MaxProblems is how many problems are kept; the others are only counted.
	MaxProblems = 10_000

	// MaxQuoted is how many characters of a text a message repeats.
	MaxQuoted = 60
)

// maxRetries is how often decoding starts again without an expression that the
// decoder refused though the range finder took it. Each costs a whole decode, so
// that retryBytes ends it earlier for large files.
const (
	maxRetries = 10
	retryBytes = 2 * MaxFileSize
)
