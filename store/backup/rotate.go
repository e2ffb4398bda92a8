package backup

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// A copy's name tells when it was made, in UTC, and sorts by it.
const (
	namePrefix = "fairladle-"
	nameTime   = "20060102T150405Z"
	nameSuffix = ".db"
)

// Rotate makes a copy in a folder, named by the time, and then deletes the
// oldest so that keep are left. Only files named like copies are ever deleted,
// and none unless the new copy is whole: a failing server keeps its old ones.
func Rotate(ctx context.Context, data, folder string, now time.Time, keep int) (Report, error) {
	name := filepath.Join(folder, namePrefix+now.UTC().Format(nameTime)+nameSuffix)
	making := name + ".making"
	if err := os.Remove(making); err != nil && !errors.Is(err, os.ErrNotExist) {
		return Report{}, err
	}
	r, err := Copy(ctx, data, making)
	if err != nil || len(r.Faults) > 0 {
		return r, errors.Join(err, ignoreNil(os.Remove(making)))
	}
	if err := syncFile(making); err != nil {
		return r, err
	}
	if err := os.Rename(making, name); err != nil {
		return r, fmt.Errorf("name the copy: %w", err)
	}
	if err := syncFile(folder); err != nil {
		return r, err
	}
	return r, prune(folder, keep)
}

func syncFile(name string) error {
	f, err := os.Open(name) //nolint:gosec // a file this program has just made
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// copies lists the copies in a folder, the oldest first.
func copies(folder string) (names []string, err error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		if _, ok := madeAt(e.Name()); ok && e.Type().IsRegular() {
			names = append(names, e.Name())
		}
	}
	slices.Sort(names)
	return names, nil
}

func madeAt(name string) (time.Time, bool) {
	middle, ok := strings.CutPrefix(name, namePrefix)
	if !ok {
		return time.Time{}, false
	}
	middle, ok = strings.CutSuffix(middle, nameSuffix)
	if !ok {
		return time.Time{}, false
	}
	t, err := time.Parse(nameTime, middle)
	return t, err == nil
}

// Newest is when the newest copy in a folder was made; zero where there is
// none.
func Newest(folder string) (time.Time, error) {
	names, err := copies(folder)
	if err != nil || len(names) == 0 {
		return time.Time{}, err
	}
	t, _ := madeAt(names[len(names)-1])
	return t, nil
}

func prune(folder string, keep int) error {
	names, err := copies(folder)
	if err != nil {
		return err
	}
	for len(names) > keep {
		if err := os.Remove(filepath.Join(folder, names[0])); err != nil {
			return fmt.Errorf("delete the oldest copy: %w", err)
		}
		names = names[1:]
	}
	return nil
}
