package journal

import (
	"bytes"
	"os"
	"testing"
)

// noticed is the operating system's disk that says when it has synced a file.
type noticed struct {
	osDisk
	synced chan struct{}
}

func (d noticed) OpenFile(path string, flag int) (DiskFile, error) {
	f, err := d.osDisk.OpenFile(path, flag)
	return noticedFile{f, d.synced}, err
}

type noticedFile struct {
	DiskFile
	synced chan struct{}
}

func (f noticedFile) Sync() error {
	err := f.DiskFile.Sync()
	f.synced <- struct{}{}
	return err
}

// From a command to its being on the disk, and, beside it, a bare write and fsync.
func BenchmarkCommandToDisk(b *testing.B) {
	b.Run("journal", func(b *testing.B) {
		d := noticed{synced: make(chan struct{}, 16)}
		j := Begin(b.TempDir(), Options{Disk: d})
		<-d.synced // the first line
		for b.Loop() {
			j.Command(1, "next")
			<-d.synced
		}
		if err := j.Close(2); err != nil {
			b.Fatal(err)
		}
	})
	b.Run("bare", func(b *testing.B) {
		f, err := osDisk{}.OpenFile(b.TempDir()+"/f", os.O_CREATE|os.O_APPEND)
		if err != nil {
			b.Fatal(err)
		}
		defer f.Close()
		line := bytes.Repeat([]byte("x"), 120)
		for b.Loop() {
			if _, err := f.Write(line); err != nil {
				b.Fatal(err)
			}
			if err := f.Sync(); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// What a caller pays for an azimuth; with nobody to take it the queue is full most of
// the time, so it is emptied as it goes.
func BenchmarkAzimuth(b *testing.B) {
	j := newJournal(Options{})
	b.ReportAllocs()
	for b.Loop() {
		j.Azimuth(1, 35.25)
		j.queue.drop()
	}
}

func BenchmarkEncodeAzimuth(b *testing.B) {
	e, buf := Entry{N: 1 << 20, What: KindAzimuth, K: 1 << 20, Degrees: 35.0625}, make([]byte, 0, 1<<10)
	b.ReportAllocs()
	for b.Loop() {
		buf, _ = appendLine(buf[:0], &e)
	}
}

// An hour of a streamed table at 44 Hz, read for a resume.
func BenchmarkReadHour(b *testing.B) {
	_, data, lines := sample(b)
	data = bytes.Clone(data[:len(lines[0])])
	for i := range uint64(3600 * 44) {
		data, _ = appendLine(data, &Entry{N: i + 2, What: KindAzimuth, K: int64(i), Degrees: float64(i%3600) / 10})
	}
	b.ReportAllocs()
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if err := new(Run).read(bytes.NewReader(data)); err != nil {
			b.Fatal(err)
		}
	}
}
