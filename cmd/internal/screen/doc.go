// Package screen is the operator's terminal: the dial with what is needed to steer
// the light below it, by single keys, a presenter's clicker, a pedal, or words.
//
// The view is a pure function of what is seen (shoot, snapshot, sender), of the state
// of the screen itself, and of its width and height in columns and lines. What is
// seen arrives through a mailbox of one, at most [PerSecond] times a second, so a slow line to
// a far terminal never makes anybody wait. A key becomes words of the live shoot's
// grammar and is handed on; the answer comes back as a line. Nothing waits in Update.
//
// Two deeds need the same key twice within [Twice]: dark, and the end of the run. A
// terminal does not tell how long a key is held; where a held key repeats itself it
// counts as pressed twice, and what repeats after that does nothing.
//
// It refuses to know how light is computed or sent, what a command does, and where
// keys are written down: cmd reads them and hands in a [Keys].
package screen
