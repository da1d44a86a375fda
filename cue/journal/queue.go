package journal

import "sync"

// item is an entry that waits, with what must be kept before it.
type item struct {
	entry Entry
	files Files
	bytes int
}

// queue is a bounded ring between callers, who never wait, and the journal's
// goroutine.
type queue struct {
	mu    sync.Mutex
	ring  [QueueLength]item
	head  int // index of the oldest
	count int
	bytes int
	lost  Lost  // since the last gap was queued
	total Lost  // all of them
	lostK int64 // frame of the latest lost
}

// put takes an item, or counts it as lost.
func (q *queue) put(it *item) bool {
	it.bytes = len(it.entry.Text) + it.files.size()
	q.mu.Lock()
	defer q.mu.Unlock()
	isAzimuth := it.entry.What == KindAzimuth
	room := QueueLength
	if isAzimuth {
		room = azimuthRoom
	}
	needs := 1
	if q.lost != (Lost{}) {
		needs = 2 // the gap first, so that it is told of where it is
	}
	if q.count+needs > room || q.bytes+it.bytes > QueueBytes {
		q.lose(it.entry.K, isAzimuth)
		return false
	}
	if needs == 2 {
		q.push(q.gap())
	}
	q.push(*it)
	return true
}

func (q *queue) lose(k int64, isAzimuth bool) {
	if isAzimuth {
		q.lost.Azimuths++
		q.total.Azimuths++
	} else {
		q.lost.Entries++
		q.total.Entries++
	}
	q.lostK = k
}

// gap is the entry for what was lost; it counts from nothing again.
func (q *queue) gap() item {
	lost := q.lost
	q.lost = Lost{}
	return item{entry: Entry{What: KindGap, K: q.lostK, Lost: &lost}}
}

func (q *queue) push(it item) {
	q.ring[(q.head+q.count)%QueueLength] = it
	q.count++
	q.bytes += it.bytes
}

// peek is the oldest item, which stays; at the end of all it is the gap that nothing has
// followed yet.
func (q *queue) peek() (item, bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.count == 0 {
		if q.lost == (Lost{}) {
			return item{}, false
		}
		q.push(q.gap())
	}
	return q.ring[q.head], true
}

// drop takes the oldest item off.
func (q *queue) drop() {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.bytes -= q.ring[q.head].bytes
	q.ring[q.head] = item{}
	q.head = (q.head + 1) % QueueLength
	q.count--
}

// waiting is how many items wait, and what was lost in all.
func (q *queue) waiting() (int, Lost) {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.count, q.total
}

// loseHere counts an item that could not be written as lost, in its place.
func (q *queue) loseHere(k int64) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.total.Entries++
	q.bytes -= q.ring[q.head].bytes
	q.ring[q.head] = item{entry: Entry{What: KindGap, K: k, Lost: &Lost{Entries: 1}}}
}
