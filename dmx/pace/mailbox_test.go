package pace

import (
	"testing"

	"limn/dmx"
)

// put writes a letter and posts it.
func put(m *mailbox, frames []dmx.Frame, content int64) (overwritten bool) {
	l := m.blank()
	copy(l.frames, frames)
	l.content = content
	return m.post()
}

func TestMailboxKeepsTheLatest(t *testing.T) {
	m := newMailbox(2)
	if m.take() != nil {
		t.Error("an empty mailbox holds a letter")
	}
	frames := make([]dmx.Frame, 2)
	for n := int64(1); n <= 3; n++ {
		frames[1][511] = byte(n)
		if overwritten := put(m, frames, n); overwritten != (n > 1) {
			t.Errorf("letter %d: overwritten %v", n, overwritten)
		}
	}
	l := m.take()
	if l == nil || l.content != 3 || l.frames[1][511] != 3 {
		t.Fatalf("took %+v, want letter 3", l)
	}
	if m.take() != nil {
		t.Error("a letter was taken twice")
	}
	frames[1][511] = 4
	put(m, frames, 4)
	put(m, frames, 5)
	if l.frames[1][511] != 3 {
		t.Error("the letter in the reader's hands changed")
	}
}

// Under the race detector: what is taken is whole, never older than the one before, and every
// letter was either taken or reported as overwritten.
func TestMailboxBetweenTwoGoroutines(t *testing.T) {
	const letters = 20_000
	m := newMailbox(1)
	dropped := make(chan int)
	go func() {
		var frames [1]dmx.Frame
		lost := 0
		for n := int64(1); n <= letters; n++ {
			if l := m.posted(); n > 1 && l.frames[0] != frames[0] {
				t.Errorf("the letter posted before %d says %d", n, l.content)
			}
			frames[0][0], frames[0][511] = byte(n), byte(n)
			if put(m, frames[:], n) {
				lost++
			}
		}
		dropped <- lost
	}()
	taken, last := 0, int64(0)
	for last < letters {
		<-m.bell
		l := m.take()
		if l == nil {
			continue // rung for the letter taken before
		}
		if l.content <= last {
			t.Fatalf("letter %d after %d", l.content, last)
		}
		if f := &l.frames[0]; f[0] != byte(l.content) || f[511] != byte(l.content) {
			t.Fatalf("letter %d is torn: %d, %d", l.content, f[0], f[511])
		}
		last = l.content
		taken++
	}
	if lost := <-dropped; taken+lost != letters {
		t.Errorf("%d taken, %d dropped of %d", taken, lost, letters)
	}
}
