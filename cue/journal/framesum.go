package journal

import (
	"crypto/sha256"
	"encoding/hex"
)

// FrameSum is a short fingerprint of one frame's slots, all universes in the
// engine's order: the first 16 hex digits of their SHA-256.
func FrameSum(universes [][512]byte) string {
	h := sha256.New()
	for i := range universes {
		h.Write(universes[i][:])
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
}
