package journal

import (
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"syscall"
)

// faulty is the operating system's disk with faults put in. It knows what of
// each file a loss of power would leave.
type faulty struct {
	osDisk
	mu     sync.Mutex
	fault  func(call, path string) error // asked before each call
	space  int                           // bytes that can still be written; negative: no limit
	synced map[string]int64              // by path: bytes on the disk
	opened map[string]*faultyFile        // by path: the latest
	sync   int                           // calls
	block  chan struct{}                 // non-nil: writes wait until it is closed
}

func newFaulty() *faulty {
	return &faulty{space: -1, synced: map[string]int64{}, opened: map[string]*faultyFile{}}
}

func (d *faulty) set(change func()) {
	d.mu.Lock()
	defer d.mu.Unlock()
	change()
}

func (d *faulty) ask(call, path string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.fault == nil {
		return nil
	}
	if err := d.fault(call, path); err != nil {
		return &fs.PathError{Op: call, Path: path, Err: err}
	}
	return nil
}

func (d *faulty) MkdirAll(dir string) error {
	if err := d.ask("mkdir", dir); err != nil {
		return err
	}
	return d.osDisk.MkdirAll(dir)
}

func (d *faulty) OpenFile(path string, flag int) (DiskFile, error) {
	if err := d.ask("open", path); err != nil {
		return nil, err
	}
	f, err := d.osDisk.OpenFile(path, flag)
	if err != nil {
		return nil, err
	}
	file := &faultyFile{DiskFile: f, d: d, path: path}
	d.set(func() { d.opened[path] = file })
	return file, nil
}

func (d *faulty) Rename(from, to string) error {
	if err := d.ask("rename", from); err != nil {
		return err
	}
	if err := d.osDisk.Rename(from, to); err != nil {
		return err
	}
	d.set(func() {
		d.synced[to] = d.synced[from]
		delete(d.synced, from)
		if f := d.opened[from]; f != nil {
			f.path = to
		}
	})
	return nil
}

func (d *faulty) Stat(path string) (fs.FileInfo, error) {
	if err := d.ask("stat", path); err != nil {
		return nil, err
	}
	return d.osDisk.Stat(path)
}

// SyncDir does not wait for the real disk.
func (d *faulty) SyncDir(dir string) error { return d.ask("syncdir", dir) }

type faultyFile struct {
	DiskFile
	d    *faulty
	path string
}

func (f *faultyFile) Write(p []byte) (int, error) {
	f.d.mu.Lock()
	block := f.d.block
	f.d.mu.Unlock()
	if block != nil {
		<-block
	}
	if err := f.d.ask("write", f.path); err != nil {
		return 0, err
	}
	f.d.mu.Lock()
	defer f.d.mu.Unlock()
	if f.d.space >= 0 && len(p) > f.d.space {
		n, _ := f.DiskFile.Write(p[:f.d.space])
		f.d.space -= n
		return n, &fs.PathError{Op: "write", Path: f.path, Err: syscall.ENOSPC}
	}
	n, err := f.DiskFile.Write(p)
	if f.d.space >= 0 {
		f.d.space -= n
	}
	return n, err
}

func (f *faultyFile) ReadAt(p []byte, at int64) (int, error) {
	if err := f.d.ask("read", f.path); err != nil {
		return 0, err
	}
	return f.DiskFile.ReadAt(p, at)
}

func (f *faultyFile) Truncate(size int64) error {
	if err := f.d.ask("truncate", f.path); err != nil {
		return err
	}
	f.d.set(func() { f.d.synced[f.path] = min(f.d.synced[f.path], size) })
	return f.DiskFile.Truncate(size)
}

func (f *faultyFile) Sync() error {
	if err := f.d.ask("sync", f.path); err != nil {
		return err
	}
	info, err := f.Stat()
	if err != nil {
		return err
	}
	f.d.set(func() { f.d.sync++; f.d.synced[f.path] = info.Size() })
	return nil
}

// logFiles are the journals in a shoot's folder.
func logFiles(dir string) []string {
	entries, _ := os.ReadDir(Folder(dir))
	var paths []string
	for _, run := range logs(entries) {
		paths = append(paths, filepath.Join(Folder(dir), logName(run)))
	}
	return paths
}
