// Package files reads, checks and edits a shoot folder: rig.toml, the cues
// (cues.toml, or every *.toml of the folder cues, in the order of their names), the
// shoot's own profiles, and the calibrations that its sources name.
//
// # Reading
//
// [Load] reads everything before it complains: all faults of all files come
// together, each as a [tomlfile.Problem] with file, line and column, what is wrong
// and what would be right. What is merely doubtful is a warning. A shoot with a
// fault is not given out, so whoever holds a [cue.Shoot] from here can play it. Files
// are given as an [fs.FS], so that a shoot can be embedded.
//
// # Editing
//
// [Open] gives a [Folder]: the shoot with the bytes it was read from. [Folder.Plan]
// works edits out in memory. The text is changed in place, so that every byte
// nobody asked to change stays; then the files are read and resolved again, and
// what is written there must be what was asked and nothing else, or there is no
// plan. [Plan.Write] writes all files of a plan or none, each by a new file in the
// old one's place, and never over what somebody else has written since: that is a
// [*ChangedError]. [Folder.Origin] tells where a light comes from and what else a
// change there changes. [Folder.Watch] tells of what others write.
//
// # What lies beside the files
//
// .limn/history holds every version of rig and cues: versions.jsonl has one JSON
// object a line (id, at, who, what, files, content: the hash of each file), objects
// has each content once, named by its SHA-256. See [Folder.History], [Folder.Diff] and
// [Folder.Restore].
//
// approved holds a JSON file for each approved cue, an [Approval]: the slots that
// were really sent, light in XYZ (Y = 1 the most the source gives) and lux at the
// aim point, cards, camera. approved/earlier has those it took the place of,
// approved/pictures the attached pictures by their content.
//
// # What it refuses to know
//
// How light reaches the wire, who plays a shoot, and when something should be kept.
package files
