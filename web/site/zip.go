package site

import (
	"archive/zip"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// WriteZip writes the copy as an archive whose files are all dated at.
func (c Copy) WriteZip(w io.Writer, at time.Time) error {
	z := zip.NewWriter(w)
	for _, name := range slices.Sorted(maps.Keys(c.Files)) {
		f, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: at.UTC().Truncate(2 * time.Second)})
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if _, err := f.Write(c.Files[name]); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	return z.Close()
}

// SaveZip writes the archive to a new file and refuses to write over another.
// The file appears under its name only when it is whole, and nothing is written
// outside its folder.
func (c Copy) SaveZip(file string, at time.Time) (err error) {
	root, err := os.OpenRoot(filepath.Dir(file))
	if err != nil {
		return err
	}
	defer root.Close()
	name := filepath.Base(file)
	if _, err := root.Lstat(name); err == nil {
		return fmt.Errorf("%s is there already; choose another name", file)
	}
	part := name + ".part"
	f, err := root.OpenFile(part, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			root.Remove(part) //nolint:errcheck // the first error counts
		}
	}()
	if err := c.WriteZip(f, at); err != nil {
		f.Close()
		return err
	}
	if err := f.Sync(); err != nil {
		f.Close()
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return root.Rename(part, name)
}
