package main

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing/fstest"
	"text/template"

	"github.com/spf13/cobra"

	"limn/cue"
	"limn/cue/files"
	"limn/fixtures/colour"
	"limn/profiles/tomlfile"
)

//go:embed starter/*.toml
var starter embed.FS

// starterFiles in the order they are written.
var starterFiles = []string{"rig.toml", "cues.toml"}

// newFlags fill the starter's blanks.
type newFlags struct {
	Name  string
	Scale int
	White string
	Kind  string
	To    string

	folder bool // the name is that of the folder
}

func newNew(std stdio) *cobra.Command {
	var f newFlags
	cmd := &cobra.Command{
		Use:   "new [DIR]",
		Short: "Write a starter shoot to change",
		Long: `Writes a small commented shoot, rig.toml and cues.toml, that checks clean and
plays: two lights, one set by hand, a card, two angles and a look. A file that is
there already is never overwritten.`,
		Example: `  limn new harbour
  limn new harbour --name "Kittiwake" --scale 12 --to 192.168.1.50
  limn new stage --kind sacn
  limn new tabletop --kind "usb widget" --to /dev/ttyUSB0`,
		GroupID: groupSet,
		Args:    atMostOne,

		ValidArgsFunction: completeFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := "."
			if len(args) > 0 {
				dir = args[0]
			}
			if dir == "" {
				return usagef("write for example limn new harbour; limn new alone takes this folder", "the folder's name is empty")
			}
			if err := f.check(cmd, dir); err != nil {
				return err
			}
			return writeStarter(dir, f, std)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&f.Name, "name", "", "`NAME` of the subject; the folder's name if left out")
	fl.IntVar(&f.Scale, "scale", 12, "the model is 1:`N`")
	fl.StringVar(&f.White, "white", cue.DefaultWhite, "the camera's `WHITE`")
	fl.StringVar(&f.Kind, "kind", cue.ArtNet, "`KIND` of output: artnet, sacn, usb, \"usb raw\" or \"usb widget\"")
	fl.StringVar(&f.To, "to", "127.0.0.1", "`ADDRESS` of the node (\"discover\" finds them), or the adapter's port")
	return cmd
}

// writeStarter writes the starter shoot, all of it or nothing.
func writeStarter(dir string, f newFlags, std stdio) error {
	texts, err := f.texts()
	if err != nil {
		return err
	}
	warnings, err := f.proof(dir, texts)
	if err != nil {
		return err
	}
	for _, name := range starterFiles {
		path := filepath.Join(dir, name)
		if _, err := os.Lstat(path); err == nil {
			return failuref(statusFailed, "give another folder; limn check "+dir+" looks at the shoot that is there",
				"%s is there already and stays as it is", path)
		}
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return failuref(statusFailed, "", "cannot make the folder %s: %v", dir, pathCause(err))
	}
	for i, name := range starterFiles {
		path := filepath.Join(dir, name)
		if err := writeNewFile(path, texts[i]); err != nil {
			return failuref(statusFailed, "", "cannot write %s: %v", path, pathCause(err))
		}
	}
	printProblems(std.Err, warnings)
	_, err = fmt.Fprintf(std.Out, "wrote %s and %s. Next: limn check %s\n",
		filepath.Join(dir, starterFiles[0]), filepath.Join(dir, starterFiles[1]), dir)
	return err
}

// check refuses what the files could not say, and names the subject after its folder.
func (f *newFlags) check(cmd *cobra.Command, dir string) error {
	given := cmd.Flags().Changed
	f.folder = !given("name")
	if f.folder {
		path, err := filepath.Abs(dir)
		if err != nil {
			return err
		}
		f.Name = filepath.Base(path)
	}
	if strings.TrimSpace(f.Name) == "" {
		return usagef(`write for example --name "Kittiwake"`, "--name: the name is empty")
	}
	if f.Scale < 1 {
		return usagef("a model at 1:12 is --scale 12", "--scale: %d is no scale", f.Scale)
	}
	if _, err := colour.ParseSpec(f.White); err != nil {
		return badFlag("white", err)
	}
	example := "--to 127.0.0.1"
	switch f.Kind {
	case cue.ArtNet:
	case cue.SACN, cue.USB: // multicast, and the only adapter there is, need no destination
		if !given("to") {
			f.To = ""
			return nil
		}
		example = fmt.Sprintf("--kind %q", f.Kind)
	case cue.USBRaw, cue.USBWidget:
		example = fmt.Sprintf("--kind %q --to /dev/ttyUSB0", f.Kind)
		if !given("to") {
			return usagef("write for example "+example, "--kind %q needs the adapter's port", f.Kind)
		}
	default:
		return usagef(`write artnet, sacn, usb, "usb raw" or "usb widget"`, "--kind: %q is no kind of output", f.Kind)
	}
	if strings.TrimSpace(f.To) == "" {
		return usagef("write for example "+example, "--to: the destination is empty")
	}
	return nil
}

// proof checks the shoot as limn check would, before it is written. A fault came
// from a flag, or from the folder's name. A warning refuses nothing: it says that
// the starter's lights come only near the camera's white.
func (f *newFlags) proof(dir string, texts [][]byte) (warnings []tomlfile.Problem, err error) {
	shoot := fstest.MapFS{}
	for i, name := range starterFiles {
		shoot[name] = &fstest.MapFile{Data: texts[i]}
	}
	_, problems := files.Load(dir, shoot)
	at := slices.IndexFunc(problems, func(p tomlfile.Problem) bool { return !p.Warning })
	if at < 0 {
		return problems, nil
	}
	p := problems[at]
	what, cure := p.What, p.Cure
	if cure == "" {
		what, cure, _ = strings.Cut(what, "; ")
	}
	for i, name := range starterFiles {
		lines := strings.Split(string(texts[i]), "\n")
		if filepath.Base(p.File) != name || p.Line < 1 || p.Line > len(lines) {
			continue
		}
		key, _, _ := strings.Cut(lines[p.Line-1], "=")
		switch key = strings.TrimSpace(key); key {
		case "name":
			if f.folder {
				return nil, usagef(`give the subject another with --name "Kittiwake"`, "the folder's name: %s", what)
			}
			fallthrough
		case "scale", "white", "kind", "to":
			return nil, usagef(cure, "--%s: %s", key, strings.TrimPrefix(what, key+": "))
		}
	}
	return nil, usagef(cure, "these flags make no shoot: %s", what)
}

// texts fills in the starter's blanks.
func (f *newFlags) texts() ([][]byte, error) {
	t, err := template.New("").Funcs(template.FuncMap{"quote": quoteTOML}).ParseFS(starter, "starter/*.toml")
	if err != nil {
		return nil, err
	}
	texts := make([][]byte, len(starterFiles))
	for i, name := range starterFiles {
		var b bytes.Buffer
		if err := t.ExecuteTemplate(&b, name, f); err != nil {
			return nil, err
		}
		texts[i] = b.Bytes()
	}
	return texts, nil
}

// quoteTOML is a text as a TOML basic string, whose escapes are those of JSON;
// DEL alone needs one in TOML only.
func quoteTOML(text string) string {
	return strings.ReplaceAll(string(quoted(text)), "\x7f", `\u007F`)
}

// writeNewFile writes a file that must not exist.
func writeNewFile(path string, text []byte) (err error) {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	defer func() {
		err = errors.Join(err, f.Close())
	}()
	_, err = f.Write(text)
	return err
}
