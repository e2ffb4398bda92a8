package backup

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"fairladle/challenge/ledger"
	"fairladle/store"
)

// Name is the database's name in a data folder.
const Name = "fairladle.db"

// ErrExists says that a file that would be written over is there.
var ErrExists = errors.New("there is a file of that name already; nothing was written over")

// Copy writes one consistent copy of the database in a data folder, photos
// included, to a new file, while a server may be using it, and checks the copy.
func Copy(ctx context.Context, folder, file string) (Report, error) {
	if _, err := os.Lstat(file); !errors.Is(err, fs.ErrNotExist) {
		return Report{}, errors.Join(ErrExists, ignoreNil(err))
	}
	db, err := openReadOnly(filepath.Join(folder, Name))
	if err != nil {
		return Report{}, err
	}
	defer db.Close()
	if _, err := db.ExecContext(ctx, `VACUUM INTO ?`, file); err != nil {
		return Report{}, fmt.Errorf("copy the database: %w", err)
	}
	if err := os.Chmod(file, 0o600); err != nil {
		return Report{}, err
	}
	return Check(ctx, file)
}

func ignoreNil(err error) error {
	if err == nil || errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

func openReadOnly(file string) (*sql.DB, error) {
	if _, err := os.Stat(file); err != nil {
		return nil, fmt.Errorf("there is no database: %w", err)
	}
	return sql.Open("sqlite", "file:"+(&url.URL{Path: file}).EscapedPath()+"?mode=ro&_pragma=busy_timeout(5000)")
}

// A Report is what a check found.
type Report struct {
	Challenges, Entries, Photos int
	Leaves, Erased              int
	Faults                      []string // empty: nothing is wrong
}

// Check reads a whole database: that SQLite finds it sound, that nothing
// refers to what is missing, and that every ledger can be derived again from
// what it commits to.
func Check(ctx context.Context, file string) (Report, error) {
	r, err := sound(ctx, file)
	if err != nil || len(r.Faults) > 0 {
		return r, err
	}
	db, err := store.Open(ctx, file, store.Options{Now: time.Now, Random: rand.Reader})
	if err != nil {
		return r, err
	}
	defer db.Close()
	cs, err := db.Challenges(ctx)
	if err != nil {
		return r, err
	}
	for _, c := range cs {
		found, err := db.CheckLedger(ctx, c.ID)
		if err != nil {
			return r, err
		}
		r.add(c.Slug, found)
	}
	return r, nil
}

func (r *Report) add(slug string, found []ledger.Finding) {
	for _, f := range found {
		r.Leaves++
		switch f.State {
		case ledger.Erased:
			r.Erased++
		case ledger.Tampered:
			r.Faults = append(r.Faults, fmt.Sprintf("ledger of %s, line %d: %s", slug, f.Index, f.Detail))
		}
	}
}

func sound(ctx context.Context, file string) (Report, error) {
	var r Report
	db, err := openReadOnly(file)
	if err != nil {
		return r, err
	}
	defer db.Close()
	for _, pragma := range []string{"integrity_check(20)", "foreign_key_check"} {
		faults, err := lines(ctx, db, "PRAGMA "+pragma)
		if err != nil {
			return r, fmt.Errorf("the file is damaged or no database: %w", err)
		}
		for _, f := range faults {
			if f != "ok" {
				r.Faults = append(r.Faults, f)
			}
		}
	}
	if len(r.Faults) > 0 {
		return r, nil
	}
	err = db.QueryRowContext(ctx, `SELECT (SELECT count(*) FROM challenge), (SELECT count(*) FROM entry), (SELECT count(*) FROM photo)`).
		Scan(&r.Challenges, &r.Entries, &r.Photos)
	return r, err
}

func lines(ctx context.Context, db *sql.DB, query string) ([]string, error) {
	rs, err := db.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer rs.Close()
	names, err := rs.Columns()
	if err != nil {
		return nil, err
	}
	var out []string
	for rs.Next() {
		cells, at := make([]sql.NullString, len(names)), make([]any, len(names))
		for i := range cells {
			at[i] = &cells[i]
		}
		if err := rs.Scan(at...); err != nil {
			return nil, err
		}
		out = append(out, cells[0].String)
	}
	return out, rs.Err()
}

// Restore puts a checked copy into a data folder that holds no database.
func Restore(ctx context.Context, file, folder string) (Report, error) {
	r, err := Check(ctx, file)
	if err != nil || len(r.Faults) > 0 {
		return r, err
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return r, err
	}
	root, err := os.OpenRoot(folder)
	if err != nil {
		return r, err
	}
	defer root.Close()
	to, err := root.OpenFile(Name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return r, ErrExists
	}
	if err != nil {
		return r, err
	}
	from, err := os.Open(file)
	if err != nil {
		return r, errors.Join(err, to.Close())
	}
	defer from.Close()
	_, err = io.Copy(to, from)
	return r, errors.Join(err, to.Sync(), to.Close())
}
