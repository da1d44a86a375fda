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
// and what its kind needs, see [Entry]. The first line's kind is "begin" and
// tells the version. Readers pass over keys and kinds they do not know.
//
// # What survives
//
// Entries go through a bounded queue to a goroutine of the journal's own, in the
// order in which they were taken; no caller ever waits for a disk. An entry is with the
// operating system, and so survives the death of the program, as soon as the goroutine has
// run: some milliseconds after it was taken, at worst after the disk has answered
// for the entries before it. Everything but azimuths, frames reached and settles is then asked onto
// the disk at once (one fsync for all that waits), and survives the loss of
// power as soon as the disk has answered; the rest at the latest after
// [SyncEvery]. The frame reached is at most 0.5 s old.
//
// A journal cut anywhere reads back as what came before the cut. A damaged line is told
// of and left out; the lines after it are read. Where the disk is full, read-only or gone the
// run goes on: [Journal.Warning] says so, the queue waits, and is written once it can be.
// What the queue had no room for is counted, and the journal says where it is missing.
//
// # What it refuses to know
//
// Words of commands, cues, light: an entry holds texts, figures and frames that
// others give and others understand.
package journal
