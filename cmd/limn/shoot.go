package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"limn/cue"
	"limn/cue/files"
	"limn/profiles/tomlfile"
)

// rigFile is the file that makes a folder a shoot.
func rigFile(dir string) string { return filepath.Join(dir, "rig.toml") }

// shootDir gives the shoot a command line names: its argument, or the current
// folder if that is one.
func shootDir(args []string) (string, error) {
	if len(args) > 0 {
		return args[0], nil
	}
	if !isShoot(".") {
		return "", usagef("name the folder of the shoot, or go there first; limn new harbour writes a starter",
			"no shoot named, and there is no rig.toml here")
	}
	return ".", nil
}

// openShoot reads a shoot to play it: everything wrong or doubtful goes to
// standard error, and what is wrong ends the command.
func openShoot(dir string, std stdio) (*cue.Shoot, error) {
	shoot, problems := loadShoot(dir)
	errs, _ := printProblems(std.Err, problems)
	if errs > 0 || shoot == nil {
		return nil, failuref(statusFiles, fmt.Sprintf("limn check %s lists what is wrong and what was read", dir),
			"%s has %s; nothing was sent", dir, count(errs, "fault"))
	}
	return shoot, nil
}

// openFolder is openShoot for a shoot that may be kept into and is watched.
func openFolder(dir string, std stdio) (*files.Folder, *cue.Shoot, error) {
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		_, err := openShoot(dir, std) // which says so
		return nil, nil, err
	}
	folder, shoot, problems, err := files.Open(dir)
	if err != nil {
		return nil, nil, failuref(statusFiles, "", "cannot read the folder %s: %v", dir, pathCause(err))
	}
	errs, _ := printProblems(std.Err, problems)
	if errs > 0 || shoot == nil {
		return nil, nil, failuref(statusFiles, fmt.Sprintf("limn check %s lists what is wrong and what was read", dir),
			"%s has %s; nothing was sent", dir, count(errs, "fault"))
	}
	return folder, shoot, nil
}

// loadShoot reads a shoot folder.
func loadShoot(dir string) (*cue.Shoot, []tomlfile.Problem) {
	info, err := os.Stat(dir)
	switch {
	case err != nil:
		return nil, folderProblem(dir, fmt.Sprintf("cannot read the folder: %v", pathCause(err)))
	case !info.IsDir():
		return nil, folderProblem(dir, "this is a file, not the folder of a shoot")
	}
	return files.Load(dir, os.DirFS(dir))
}

func folderProblem(dir, what string) []tomlfile.Problem {
	return []tomlfile.Problem{{
		Pos:  tomlfile.Pos{File: dir},
		What: what,
		Cure: "name a folder that holds rig.toml and cues.toml; limn new writes a starter",
	}}
}

// printProblems prints each problem on a line of its own and counts them.
func printProblems(w io.Writer, problems []tomlfile.Problem) (errs, warnings int) {
	for _, p := range problems {
		fmt.Fprintln(w, p)
		if p.Warning {
			warnings++
		} else {
			errs++
		}
	}
	return errs, warnings
}

// count is "no fault", "1 fault", "3 faults".
func count(n int, noun string) string {
	switch n {
	case 0:
		return "no " + noun
	case 1:
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
