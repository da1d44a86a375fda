//go:build soak

package pace_test

import (
	"testing"
	"time"
)

// A day of trouble leaves nothing behind.
func TestADayOfChurn(t *testing.T) { runChurn(t, 24*time.Hour) }
