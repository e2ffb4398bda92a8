package demo

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strconv"
	"strings"
)

// tables reads marks, picks and sheets, where a challenge has them.
func (c *Challenge) tables(files fs.FS, dir string) error {
	for name, add := range map[string]func([]string) error{
		"marks.tsv":  c.addMark,
		"picks.tsv":  c.addPick,
		"sheets.tsv": c.addSheet,
	} {
		if err := eachRow(files, path.Join(dir, name), add); err != nil {
			return err
		}
	}
	return nil
}

// eachRow hands over the rows of a tab-separated file without its first line;
// cells are padded with empty ones to the width of that line. A file that is
// not there has no rows.
func eachRow(files fs.FS, name string, add func([]string) error) error {
	b, err := fs.ReadFile(files, name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	lines := strings.Split(strings.TrimRight(string(b), "\n"), "\n")
	width := len(strings.Split(lines[0], "\t"))
	for i, line := range lines[1:] {
		row := strings.Split(line, "\t")
		if len(row) != width {
			return fmt.Errorf("%s: row %d has %d cells, not %d", name, i+2, len(row), width)
		}
		if err := add(row); err != nil {
			return fmt.Errorf("%s: row %d: %w", name, i+2, err)
		}
	}
	return nil
}

func (c *Challenge) number(s string) (int, error) {
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 || n > len(c.Entries) {
		return 0, fmt.Errorf("no entry %q", s)
	}
	return n, nil
}

func (c *Challenge) addMark(row []string) error {
	n, err := c.number(row[0])
	c.Marks = append(c.Marks, Mark{Entry: n, Reader: row[1], Verdict: row[2], Note: row[3]})
	return err
}

func (c *Challenge) addPick(row []string) error {
	n, err := c.number(row[0])
	c.Picks = append(c.Picks, Choice{Entry: n, Reason: row[1]})
	return err
}

func (c *Challenge) addSheet(row []string) error {
	s := Sheet{Judge: row[1], Comment: row[3]}
	var err error
	if row[0] != "house" {
		if s.Entry, err = c.number(row[0]); err != nil {
			return err
		}
	}
	for _, word := range strings.Fields(row[2]) {
		n, err := strconv.Atoi(word)
		if err != nil || n < 0 || n > 10 {
			return fmt.Errorf("score %q", word)
		}
		s.Scores = append(s.Scores, n)
	}
	if len(s.Scores) != len(c.Criteria) {
		return fmt.Errorf("%d scores for %d criteria", len(s.Scores), len(c.Criteria))
	}
	c.Sheets = append(c.Sheets, s)
	return nil
}
