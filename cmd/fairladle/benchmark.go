package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"fairladle/challenge/kitchen/schedule"
)

// benchmarkCommand solves published scheduling problems and prints how well:
// PSPLIB files (.sm) and job shops (.txt: jobs and machines, then a line of
// machine and duration pairs for each job).
func benchmarkCommand(ctx context.Context, args []string, out io.Writer) error {
	f := flags("benchmark", out)
	limit := f.Duration("limit", 20*time.Second, "time for each problem")
	names, err := parseMixed(f, args)
	if err != nil {
		return err
	}
	if len(names) == 0 || *limit <= 0 {
		return errors.New("name files or folders of problems: fairladle benchmark FILE|FOLDER... --limit 20s")
	}
	from := time.Now()
	var rows []schedule.Row
	for _, name := range names {
		root, err := problems(name)
		if err != nil {
			return err
		}
		more, err := schedule.Benchmark(ctx, root, *limit, func() time.Duration { return time.Since(from) })
		if err != nil {
			return err
		}
		rows = append(rows, more...)
	}
	if len(rows) == 0 {
		return errors.New("there is no .sm or .txt file among these")
	}
	return schedule.WriteTable(out, rows)
}

// problems is a folder, or the folder of a file with only that file in it.
func problems(name string) (fs.FS, error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, err
	}
	if info.IsDir() {
		return os.DirFS(name), nil
	}
	return oneFile{os.DirFS(filepath.Dir(name)), filepath.Base(name)}, nil
}

// oneFile shows one file of a folder.
type oneFile struct {
	fs.FS
	name string
}

func (o oneFile) Open(name string) (fs.File, error) {
	if name != "." && name != o.name {
		return nil, fmt.Errorf("open %s: %w", name, fs.ErrNotExist)
	}
	return o.FS.Open(name)
}

// ReadDir lists the one file.
func (o oneFile) ReadDir(string) ([]fs.DirEntry, error) {
	info, err := fs.Stat(o.FS, o.name)
	if err != nil {
		return nil, err
	}
	return []fs.DirEntry{fs.FileInfoToDirEntry(info)}, nil
}
