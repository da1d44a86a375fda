package operate_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// What was approved is recalled to the slot, and after the light is measured anew
// either way is offered.
func TestApprove(t *testing.T) {
	l := goLive(t, t.TempDir(), true)
	l.no("approve", "no cue has been called yet")
	l.do("go port quarter")
	l.no("as sent", "is not approved")
	l.do("without fill")
	l.no("approve", "not the cue")
	l.do("with everything")
	sent := slices.Clone(l.settle())
	said(t, l.do("approve"), "approved as port quarter is now")
	picture := filepath.Join(t.TempDir(), "set.jpg")
	if err := os.WriteFile(picture, []byte("a picture"), 0o666); err != nil {
		t.Fatal(err)
	}
	said(t, l.do("attach "+picture), "set photo")
	l.no("attach nowhere.jpg", "nowhere.jpg")

	rig := l.file("rig.toml")
	changed := strings.Replace(rig, `full     = "1500 lx"`, `full     = "1200 lx"`, 1)
	if changed == rig {
		changed = strings.Replace(rig, `full      = "1500 lx"`, `full      = "1200 lx"`, 1)
	}
	if changed == rig {
		t.Fatal("rig.toml has no reading of fill")
	}
	if err := os.WriteFile(filepath.Join(l.dir, "rig.toml"), []byte(changed), 0o666); err != nil {
		t.Fatal(err)
	}
	l.do("reload")
	if slices.Equal(l.settle(), sent) {
		t.Error("another reading of the same light gives the same slots for so many lux")
	}
	l.do("as sent")
	if !slices.Equal(l.settle(), sent) {
		t.Error("as sent is not as it was sent")
	}
	l.do("next")
	l.do("back")
	if !slices.Equal(l.settle(), sent) {
		t.Error("coming back forgets that it is played as it was sent")
	}
	l.do("undo")
	l.do("as sent")
	l.do("same light")
	cues := strings.Replace(l.file("cues.toml"), `"-2/3 stop"`, `"-1 2/3 stops"`, 1)
	if err := os.WriteFile(filepath.Join(l.dir, "cues.toml"), []byte(cues), 0o666); err != nil {
		t.Fatal(err)
	}
	said(t, l.do("reload"), "sky differs by 1.0 stop", "from approved", "as sent", "same light")
	l.do("next")
	said(t, l.do("back"), "sky differs by 1.0 stop")
	l.do("same light")
	said(t, l.do("as sent"), "as it was sent")
	if !slices.Equal(l.settle(), sent) {
		t.Error("as sent is not as it was sent")
	}
	if l.file("rig.toml") != changed {
		t.Error("rig.toml was edited")
	}
}
