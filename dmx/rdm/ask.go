package rdm

import (
	"context"
	"encoding/binary"
	"fmt"
	"time"
)

// How devices are asked. On the line an answer begins within 2.8 ms (ANSI E1.20, 3.2), but the
// node has to find room for the question between packets of levels, and may have others before it.
const (
	answerWithin = 500 * time.Millisecond
	attempts     = 3
	maxRounds    = 16 // of answers that say "later" or "there is more", of which each has MaxData bytes at most

	timerUnit = 100 * time.Millisecond
	// maxTimer is the longest that a device may ask to wait at a time; the standard lets it ask for almost two hours.
	maxTimer = 10 * time.Second
	// busyWait is how long a device that is busy is left alone.
	busyWait = 200 * time.Millisecond
)

const (
	firstPort = 1
	// statusError asks for queued messages, or for messages of errors if there are none.
	statusError = 4
)

// NoAnswerError says that a device does not answer.
type NoAnswerError struct {
	UID   UID
	Class Class
	PID   PID
	Later bool // it answered, and put the answer off again and again
}

// Error is in words for an operator.
func (e *NoAnswerError) Error() string {
	if e.Later {
		return fmt.Sprintf("%v puts off to %v its %v again and again; try again in a while", e.UID, e.Class, e.PID)
	}
	return fmt.Sprintf("%v does not answer (%v of its %v, asked %d times); look to its cable and power", e.UID, e.Class, e.PID, attempts)
}

// Get asks a device for a parameter and gives the data of its answer. It waits as long as the device asks it to, and collects an
// answer that comes in parts. Errors: a [NackError], a [NoAnswerError], the context's, or that of sending.
func (c *Client) Get(ctx context.Context, u UID, p PID, data ...byte) ([]byte, error) {
	return c.ask(ctx, u, Get, p, data)
}

// Set sets a parameter of a device, which may change light. Errors are as those of Get; after a [NoAnswerError] it is
// not known whether it was set.
func (c *Client) Set(ctx context.Context, u UID, p PID, data ...byte) ([]byte, error) {
	return c.ask(ctx, u, Set, p, data)
}

func (c *Client) ask(ctx context.Context, u UID, class Class, p PID, data []byte) ([]byte, error) {
	if !u.isDevice() {
		return nil, fmt.Errorf("rdm: %v is the address of many, which nobody answers to", u)
	}
	end, err := c.begin(ctx)
	if err != nil {
		return nil, err
	}
	defer end()
	defer c.expect(nil)

	var all []byte
	fromQueue := false // the answer was put off: it is to be fetched
	for range maxRounds {
		question := Message{Dest: u, Class: class, PID: p, Data: data}
		if fromQueue {
			question.Class, question.PID, question.Data = Get, QueuedMessage, []byte{statusError}
		}
		answer, err := c.once(ctx, question)
		if err != nil {
			return nil, err
		}
		if fromQueue && (answer.PID != p || answer.Class != class+1) {
			// Nothing is queued, something else is, or the device knows no queue: the question itself again.
			fromQueue, all = false, nil
			if answer.Response() == AckTimer {
				if err := pause(ctx, timer(answer)); err != nil {
					return nil, err
				}
			}
			continue
		}
		switch answer.Response() {
		case Ack, AckOverflow:
			all = append(all, answer.Data...)
			if answer.Response() == Ack {
				return all, nil
			}
		case AckTimer:
			if err := pause(ctx, timer(answer)); err != nil {
				return nil, err
			}
			fromQueue = true
		case Nack:
			reason, err := decodeReason(answer.Data)
			if err != nil {
				return nil, fmt.Errorf("%v refuses to %v its %v without a reason: %w", u, class, p, err)
			}
			if !reason.busy() {
				return nil, &NackError{u, class, p, reason}
			}
			if err := pause(ctx, busyWait); err != nil {
				return nil, err
			}
		default:
			return nil, fmt.Errorf("%v answers its %v in a way that is not known here (%d)", u, p, answer.Response())
		}
	}
	return nil, &NoAnswerError{u, class, p, true}
}

// once sends a question until it is answered, at most attempts times. A late answer to an
// earlier attempt is as good.
func (c *Client) once(ctx context.Context, m Message) (Message, error) {
	m.Source, m.Port = c.cfg.UID, firstPort
	first := byte(c.transaction.Load() + 1)
	tried := byte(0)
	c.expect(func(h heard) bool {
		a := h.message
		return a != nil && a.Source == m.Dest && a.SubDevice == m.SubDevice && a.Transaction-first < attempts &&
			(a.PID == m.PID && a.Class == m.Class+1 || m.PID == QueuedMessage)
	})
	limit := time.NewTimer(0)
	defer limit.Stop()
	for range attempts {
		m.Transaction = byte(c.transaction.Add(1))
		tried++
		question := Carried{PortAddress: c.cfg.PortAddress, Message: m}
		if err := c.send(question.AppendTo(nil)); err != nil {
			return Message{}, err
		}
		limit.Reset(answerWithin)
		for waiting := true; waiting; {
			select {
			case h := <-c.in:
				if h.message.Transaction-first < tried { // else it answers what was not asked yet
					return *h.message, nil
				}
			case <-limit.C:
				waiting = false
			case <-ctx.Done():
				return Message{}, ctx.Err()
			}
		}
	}
	return Message{}, &NoAnswerError{m.Dest, m.Class, m.PID, false}
}

// timer is how long an answer asks to wait.
func timer(m Message) time.Duration {
	if len(m.Data) != 2 {
		return busyWait
	}
	return min(time.Duration(binary.BigEndian.Uint16(m.Data))*timerUnit, maxTimer)
}

// pause waits, unless the context ends first.
func pause(ctx context.Context, d time.Duration) error {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
