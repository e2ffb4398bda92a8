package schedule

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"
)

// Row is the outcome of one instance of a benchmark.
type Row struct {
	Instance string
	Makespan int // -1 where no plan was found
	Bound    int
	Proved   bool
	Seconds  float64
	Err      error // the file could not be read or holds no instance
}

// Benchmark solves every .sm file (PSPLIB) and .txt file (job shop) below the
// root, in the order of their names, each with the time limit. clock tells the
// time that has passed since any fixed moment.
func Benchmark(ctx context.Context, root fs.FS, limit time.Duration, clock func() time.Duration) ([]Row, error) {
	var names []string
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && (path.Ext(name) == ".sm" || path.Ext(name) == ".txt") {
			names = append(names, name)
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("schedule: benchmark: %w", err)
	}
	slices.Sort(names)
	var rows []Row
	for _, name := range names {
		rows = append(rows, benchmarkOne(ctx, root, name, limit, clock))
	}
	return rows, nil
}

func benchmarkOne(ctx context.Context, root fs.FS, name string, limit time.Duration, clock func() time.Duration) Row {
	row := Row{Instance: strings.TrimSuffix(path.Base(name), path.Ext(name)), Makespan: -1}
	f, err := root.Open(name)
	if err != nil {
		row.Err = err
		return row
	}
	defer f.Close()
	read := ReadJobShop
	if path.Ext(name) == ".sm" {
		read = ReadPSPLIB
	}
	p, err := read(f)
	if err != nil {
		row.Err = err
		return row
	}
	ctx, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	from := clock()
	res, err := Solve(ctx, p, Options{})
	row.Seconds, row.Err = (clock() - from).Seconds(), err
	if err == nil {
		row.Bound, row.Proved = res.Bounds[0], res.Proved
		if res.Plan != nil {
			row.Makespan = res.Costs[0]
		}
	}
	return row
}

// WriteTable prints the rows as an aligned table.
func WriteTable(w io.Writer, rows []Row) error {
	if _, err := fmt.Fprintf(w, "%-14s %9s %7s %-7s %8s\n", "instance", "makespan", "bound", "proved", "seconds"); err != nil {
		return err
	}
	for _, r := range rows {
		line := fmt.Sprintf("%-14s %9d %7d %-7t %8.3f", r.Instance, r.Makespan, r.Bound, r.Proved, r.Seconds)
		if r.Err != nil {
			line = fmt.Sprintf("%-14s %v", r.Instance, r.Err)
		}
		if _, err := fmt.Fprintln(w, line); err != nil {
			return err
		}
	}
	return nil
}
