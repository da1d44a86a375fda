package sacn

// turn is a lock that may be held for a while, as it is between data and their synchronization: who waits
// for a channel is seen to wait, by a bubble of testing/synctest too.
type turn chan struct{}

func newTurn() turn { return make(turn, 1) }

// Lock takes the turn.
func (t turn) Lock() { t <- struct{}{} }

// Unlock gives it back.
func (t turn) Unlock() { <-t }
