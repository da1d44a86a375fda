package dial

import (
	"fmt"
	"testing"
)

func TestTexts(t *testing.T) {
	shoot := kittiwake(t)
	all := moments(t)
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}, {60, 20}, {40, 12}} {
		for _, name := range []string{"settled", "hands", "fading", "before", "dusk"} {
			got := Text(shoot, all[name], size[0], size[1], false)
			golden(t, fmt.Sprintf("%s-%dx%d.txt", name, size[0], size[1]), []byte(got+"\n"))
		}
	}
	golden(t, "fading-80x24-colour.txt", []byte(Text(shoot, all["fading"], 80, 24, true)+"\n"))
}
