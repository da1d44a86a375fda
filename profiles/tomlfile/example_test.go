package tomlfile_test

import (
	"errors"
	"fmt"
	"strings"

	"limn/profiles/tomlfile"
)

func ExampleParse() {
	src := `[[source]]
name  = "sky"
fade  = "2.5 m"
colur = "5600 K"

[[source]]
name = left stroke
`
	var ps tomlfile.Problems
	root := tomlfile.Parse("rig.toml", []byte(src), &ps)
	for _, s := range root.Tables("source") {
		s.Require("name", `name = "sky"`)
		s.String("name")
		s.String("colour")
		tomlfile.Read(s, "fade", seconds)
	}
	root.Close()
	for _, p := range ps.Sorted() {
		fmt.Println(p)
	}
	// Output:
	// rig.toml:3:9: fade: "2.5 m" is no time; write "2.5 s"
	// rig.toml:4:1: unknown key colur; did you mean "colour"?
	// rig.toml:7:8: "left stroke" needs quotation marks; write name = "left stroke"
}

func seconds(text string) (string, error) {
	if !strings.HasSuffix(text, "s") {
		return "", errors.New(`"` + text + `" is no time; write "2.5 s"`)
	}
	return text, nil
}

func ExampleProblem_Excerpt() {
	src := []byte("[camera]\nsensor = 36x24 mm\n")
	var ps tomlfile.Problems
	tomlfile.Parse("rig.toml", src, &ps)
	for _, p := range ps.Sorted() {
		fmt.Println(p.Excerpt(src))
	}
	// Output:
	// rig.toml:2:10: "36x24 mm" needs quotation marks, as it is more than a number; write sensor = "36x24 mm"
	//   2 | sensor = 36x24 mm
	//     |          ^
}
