// Package journal keeps what a run of a shoot was told, so that the run can be
// taken up again after a crash, played again byte for byte, and read by people.
//
// [Begin] opens the journal of a new run, [Continue] goes on with that of a run
// that ended uncleanly; [Journal.Command] and its like take entries; [Last] and
// [ReadLog] read a journal back as a [Run], whose [Run.Steps] are what made the
// light and whose [Run.Resume] says how it may be taken up. [Acquire] notices
// a second run of the same shoot.
//
// # One file
//
// The journal is the session log too. What makes light (commands with their
// frame, files, azimuths) and what tells of it (settles, captures, warnings) are
// lines of one file in the order in which they came. Two files could disagree,
// would need two recoveries from the same crash, and a log that is to be played
// again must hold the journal's lines anyhow. A reader after commands alone passes over
// the rest.
//
// # The format, version 1
//
// In the folder .limn/journal of a shoot:
//
//	run-000042.jsonl                the journal of run 42
//	run-000042-files-HASH.json      the list of one set of files it was given
//	files/HASH                      the bytes of one file, kept once for all runs
//	lock                            held by the present run
//
// HASH is SHA-256 in hex: of the file's bytes, or of the list's. A journal is
// JSON, one object a line, UTF-8, each ended by a newline. Each has
//
//	n     number of the line, from 1, rising by one
//	what  its kind, see [Kind]
//	k     frame: 44 a second from the run's epoch
//	time  local time with its offset, where one is known
//	sum   CRC-32C in hex of the line's bytes before ,"sum"; always last
//
// and what its kind needs, see [Entry]:
//
//	{"n":7,"what":"command","k":412,"time":"2026-05-04T09:31:10.25+02:00","text":"trim sky up 1/2 stop","sum":"5f0c91aa"}
//
// The first line's kind is "begin" and tells the version. Readers pass over keys
// and kinds they do not know.
//
// # What survives
//
// Entries go through a bounded queue to a goroutine of the journal's own, in the
// order in which they were taken; no caller ever waits for a disk. Nothing is held back: once
// the goroutine runs, some microseconds later, it hands what is queued to the operating system, which
// keeps it whatever becomes of the program. Where that is more than azimuths, settles and frames
// reached, it is put onto the disk at once, one fsync for all that waits, and then survives the loss of
// power too. So a command is safe after two answers of the disk at the worst,
// that to the entries before it and its own: milliseconds on a disk that is well. Azimuths, settles
// and frames reached are many, and may be lost with the power for as long as [SyncEvery].
// The frame reached that is on record is at most 0.5 s old.
//
// A journal cut anywhere reads back as what came before the cut. A damaged line is
// told of and left out; the lines after it are read. Where the disk is full,
// read-only or gone the run goes on: [Journal.Warning] says so, the queue waits, and
// is written once it can be. What the queue had no room for is counted, and the
// journal says where it is missing. Where the folder was removed, the journal and its
// files are written again.
//
// # What it refuses to know
//
// Words of commands, cues, light: an entry holds texts, figures and frames that
// others give and others understand.
package journal
