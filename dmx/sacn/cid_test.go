package sacn

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// RFC 9562, appendix A.4: the UUID of version 5 for the DNS name www.example.com.
func TestDeriveCID(t *testing.T) {
	dns, err := ParseCID("6ba7b810-9dad-11d1-80b4-00c04fd430c8")
	if err != nil {
		t.Fatal(err)
	}
	if got := DeriveCID(dns, "www.example.com").String(); got != "2ed6657d-e927-568b-95e1-2665a8aea6a2" {
		t.Errorf("%s", got)
	}
	if DeriveCID(dns, "ab", "c") == DeriveCID(dns, "a", "bc") {
		t.Error("other words make the same CID")
	}
}

func TestNewCID(t *testing.T) {
	a, b := NewCID(), NewCID()
	if a == b || a[6]>>4 != 4 || a[8]>>6 != 2 {
		t.Errorf("%v and %v", a, b)
	}
}

func TestLoadCID(t *testing.T) {
	file := filepath.Join(t.TempDir(), "new", "folder", "cid")
	var all [8]CID
	var loading sync.WaitGroup
	for i := range all {
		loading.Go(func() {
			var err error
			if all[i], err = LoadCID(file); err != nil {
				t.Error(err)
			}
		})
	}
	loading.Wait()
	for _, c := range all {
		if c != all[0] || c == (CID{}) {
			t.Errorf("loaded at once: %v and %v", c, all[0])
		}
	}
	if again, err := LoadCID(file); err != nil || again != all[0] {
		t.Errorf("later: %v, %v", again, err)
	}
	if left, _ := os.ReadDir(filepath.Dir(file)); len(left) != 1 {
		t.Errorf("%d files are left", len(left))
	}
	if err := os.WriteFile(file, []byte("my notes\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := LoadCID(file); err == nil || !strings.Contains(err.Error(), "is no UUID") {
		t.Errorf("a file of something else: %v", err)
	}
	if b, _ := os.ReadFile(file); string(b) != "my notes\n" {
		t.Error("the file was overwritten")
	}
	for _, s := range []string{"", "6f0d4a1e-2b3c-4d5e-8f60-718293a4b5cx", "00000000-0000-0000-0000-000000000000", "6f0d4a1e2b3c-4d5e-8f60-718293a4b5c6-"} {
		if _, err := ParseCID(s); err == nil {
			t.Errorf("%q is taken", s)
		}
	}
}
