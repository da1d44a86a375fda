package screen

import (
	"context"
	"reflect"
	"testing"
	"testing/synctest"
	"time"

	"limn/cue"
)

// Whatever changes in a snapshot is worth a new picture, but for its frame.
func TestAlike(t *testing.T) {
	a := settle(start(t), "go bow").seen().Snap
	b := *a
	b.K++
	if !alike(a, &b) {
		t.Error("another frame alone makes a new picture")
	}
	differ := func(name string, s cue.Snapshot) {
		if alike(a, &s) {
			t.Errorf("%s changes and nothing is drawn", name)
		}
	}
	kind := reflect.TypeFor[cue.Snapshot]()
	for i := range kind.NumField() {
		name := kind.Field(i).Name
		if name == "K" {
			continue
		}
		s := *a
		v := reflect.ValueOf(&s).Elem().Field(i)
		if v.Kind() == reflect.Slice {
			v.Set(reflect.Append(v, reflect.Zero(v.Type().Elem())))
		} else {
			change(v)
		}
		differ(name, s)
	}
	kind = reflect.TypeFor[cue.SourceSnapshot]()
	for i := range kind.NumField() {
		s := *a
		s.Sources = append([]cue.SourceSnapshot(nil), a.Sources...)
		v := reflect.ValueOf(&s.Sources[0]).Elem().Field(i)
		if v.Kind() == reflect.Struct {
			v = v.Field(1)
		}
		change(v)
		differ("a source's "+kind.Field(i).Name, s)
	}
}

func change(v reflect.Value) {
	switch v.Kind() {
	case reflect.Bool:
		v.SetBool(!v.Bool())
	case reflect.Int, reflect.Int64:
		v.SetInt(v.Int() + 1)
	case reflect.Float64:
		v.SetFloat(v.Float() + 0.25)
	case reflect.String:
		v.SetString(v.String() + "x")
	}
}

// moving is a stage where every look finds something new.
type moving struct {
	*live
	looks int
}

func (m *moving) Snapshot(dst *cue.Snapshot) {
	m.live.Snapshot(dst)
	m.looks++
	dst.Whole = float64(m.looks)
}

// A screen that does not come to look finds the latest and nothing older, and is told at most
// so many times a second.
func TestTheLatestWins(t *testing.T) {
	l := settle(start(t), "go bow")
	synctest.Test(t, func(t *testing.T) {
		m := &moving{live: l}
		box := make(chan Seen, 1)
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { watch(ctx, m, box); close(done) }()
		time.Sleep(10 * time.Second)
		synctest.Wait()
		if m.looks > 10*PerSecond+1 || m.looks < 10*PerSecond-1 {
			t.Errorf("%d looks in 10 s", m.looks)
		}
		if got := (<-box).Snap.Whole; got != float64(m.looks) {
			t.Errorf("found %g, the latest is %d", got, m.looks)
		}
		cancel()
		<-done
	})
}

func TestAnswersKeepTheLatest(t *testing.T) {
	a := NewAnswers()
	for range 3 * MaxMessages {
		a.Add("x", false)
	}
	a.Add("last", true)
	got := a.take()
	if len(got) != MaxMessages || got[len(got)-1] != (answer{"last", true}) {
		t.Errorf("%d lines, the last %+v", len(got), got[len(got)-1])
	}
	if len(a.take()) != 0 {
		t.Error("they are taken twice")
	}
}
