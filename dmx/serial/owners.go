package serial

import "sync"

// owners knows which output of this process has which adapter. Ports are exclusive for most users but not
// for root, and after a loss two adapters may come back with their ports swapped.
type owners struct {
	mu  sync.Mutex
	has map[*Output]Adapter
}

var everybody owners

// claim gives an adapter to an output, instead of what it had, unless another has it, whose name it says.
func (w *owners) claim(o *Output, a Adapter) (owner string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if owner = w.other(o, a); owner != "" {
		return owner
	}
	if o.over { // it opens a port too late
		return ""
	}
	if w.has == nil {
		w.has = make(map[*Output]Adapter)
	}
	w.has[o] = a
	return ""
}

// taken is the name of another output that has the adapter, or "". An output keeps what it had through a loss.
func (w *owners) taken(o *Output, a Adapter) string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.other(o, a)
}

func (w *owners) other(o *Output, a Adapter) string {
	for other, theirs := range w.has {
		if other != o && theirs.same(a) {
			return other.cfg.Name
		}
	}
	return ""
}

// unclaim takes a claim back because the port could not be opened; the output keeps what it had before, if anything.
func (w *owners) unclaim(o *Output, before *Adapter) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if before == nil || o.over {
		delete(w.has, o)
	} else {
		w.has[o] = *before
	}
}

// release ends an output's ownership for good.
func (w *owners) release(o *Output) {
	w.mu.Lock()
	defer w.mu.Unlock()
	o.over = true
	delete(w.has, o)
}
