package main

import (
	"errors"
	"os"
	"strings"
	"sync"
	"time"

	"limn/dmx/artnet"
	recording "limn/dmx/record"
	"limn/dmx/sacn"
)

// keeper writes what is heard into a recording. Its methods may be called from any goroutine.
type keeper struct {
	tell func(string)

	mu    sync.Mutex
	file  *os.File // nil: nothing is recorded
	w     *recording.Writer
	start time.Time
	kept  int64
	full  error // why no more is recorded
}

func newKeeper(tell func(string)) *keeper { return &keeper{tell: tell} }

// record begins to write into a file, which must not exist: a recording is not made twice.
func (h *hearing) record(file string) error {
	f, err := os.OpenFile(file, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		hint := ""
		if errors.Is(err, os.ErrExist) {
			hint = "give another name; what is there stays as it is"
		}
		return failuref(statusFailed, hint, "cannot record into %s: %v", file, pathCause(err))
	}
	k := h.keeper
	k.mu.Lock()
	defer k.mu.Unlock()
	k.start = time.Now()
	k.file = f
	if k.w, err = recording.NewWriter(f, k.start); err != nil {
		return failuref(statusFailed, "", "cannot record into %s: %v", file, pathCause(err))
	}
	return nil
}

func (k *keeper) put(e recording.Entry) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.w == nil || k.full != nil {
		return
	}
	e.At = time.Since(k.start).Truncate(time.Microsecond)
	if err := k.w.Write(e); err != nil {
		k.full = err
		k.tell("warning: no more is recorded: " + err.Error())
		return
	}
	k.kept++
}

// artNet keeps a datagram that is used.
func (k *keeper) artNet(d *artnet.Datagram) {
	k.put(recording.Entry{
		Protocol: recording.ArtNet, Universe: int(d.PortAddress), Source: d.From.String(), Priority: recording.NoPriority, Slots: d.Data,
	})
}

// sacn keeps a packet that drives light.
func (k *keeper) sacn(d *sacn.Datagram) {
	k.put(recording.Entry{
		Protocol: recording.SACN, Universe: int(d.Universe), Source: d.From.String(), Name: strings.ToValidUTF8(sacn.CleanName(d.Name), "?"),
		Priority: int(d.Priority), Slots: d.Slots,
	})
}

// end closes the recording and says what it holds.
func (k *keeper) end(std stdio) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.file == nil {
		return nil
	}
	err := k.w.Flush()
	if e := k.file.Close(); err == nil {
		err = e
	}
	if err != nil {
		return failuref(statusFailed, "", "the recording %s is not whole: %v", k.file.Name(), pathCause(err))
	}
	note(std.Err, "recorded %s in %s. Next: limn listen --play %s --to ADDRESS", count(int(k.kept), "packet"), k.file.Name(), k.file.Name())
	return nil
}
