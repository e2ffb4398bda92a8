package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"sync"
	"sync/atomic"
	"time"

	"fairladle/challenge"
)

// DB is one data folder's database. It is safe for concurrent use.
type DB struct {
	reads  *sql.DB
	writer *sql.DB
	now    func() time.Time
	random io.Reader
	lists  lists
	kinds  kindCounts

	version atomic.Uint64 // of what is stored; raised by each commit, before anyone is told of it
	queue   chan *unit
	stopped chan struct{}
	drained sync.WaitGroup
}

// Options are what a database takes from outside.
type Options struct {
	Now func() time.Time // the moment every decision uses
	// Told is told every statement, for tests of their plans; nil in earnest.
	Told   func(query string)
	Random io.Reader // salts, links, blind codes; crypto/rand.Reader in earnest
}

// Open opens the file, creating it where it is missing, and brings its schema
// up to date. It refuses a file written by a newer version, and one whose
// applied migrations are not the ones it knows, without changing it.
func Open(ctx context.Context, path string, o Options) (*DB, error) {
	private(path)
	writer := openSQL(dsn(path, url.Values{"_txlock": {"immediate"}}), o)
	writer.SetMaxOpenConns(1)
	if err := migrate(ctx, writer, o); err != nil {
		return nil, errors.Join(fmt.Errorf("database %s: %w", path, troubled(err)), writer.Close())
	}
	reads := openSQL(dsn(path, url.Values{"mode": {"ro"}}), o)
	reads.SetMaxOpenConns(readers)
	reads.SetMaxIdleConns(readers)
	db := &DB{reads: reads, writer: writer, now: o.Now, random: o.Random,
		queue: make(chan *unit), stopped: make(chan struct{})}
	db.drained.Go(db.serveWrites)
	return db, nil
}

// readers is how many connections read at the same time. All are kept: to open
// one means to parse the whole schema. Each has a cache of its own, which is
// small, since the system keeps the file's pages as well.
const readers = 4

// private makes a file that is not there yet for its owner alone; SQLite gives
// its log the same permissions. Where it cannot be made, SQLite says why.
func private(path string) {
	if f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600); err == nil { // #nosec G304 -- the path is the caller's
		f.Close() // #nosec G104 -- nothing was written
	}
}

// dsn puts the pragmas where every pooled connection gets them; busy_timeout
// comes first, since the others may have to wait.
func dsn(path string, more url.Values) string {
	q := url.Values{"_pragma": {"busy_timeout(5000)", "journal_mode(WAL)", "synchronous(FULL)",
		"foreign_keys(1)", "secure_delete(1)", "temp_store(2)"}}
	if more.Get("mode") == "ro" {
		q["_pragma"] = []string{"busy_timeout(5000)", "query_only(1)", "foreign_keys(1)", "cache_size(-1000)"}
	}
	for k, v := range more {
		q[k] = v
	}
	return "file:" + (&url.URL{Path: path}).EscapedPath() + "?" + q.Encode()
}

// Close waits for the writes under way and closes the file.
func (db *DB) Close() error {
	close(db.stopped)
	db.drained.Wait()
	return errors.Join(db.reads.Close(), db.writer.Close())
}

// Ping says whether the database answers.
func (db *DB) Ping(ctx context.Context) error {
	var one int
	return db.reads.QueryRowContext(ctx, `SELECT 1`).Scan(&one)
}

// Version is raised by each commit of this process, before its acknowledgement:
// what was read since a version holds while it is the same.
func (db *DB) Version() uint64 { return db.version.Load() }

// NextMoment is the first moment after now at which something opens, closes or
// is released; zero where none is set.
func (db *DB) NextMoment(ctx context.Context, now time.Time) (time.Time, error) {
	var next int64
	err := db.reads.QueryRowContext(ctx, `SELECT COALESCE(min(at), 0) FROM (
		SELECT min(opens_at) AS at FROM challenge WHERE opens_at > ?1 UNION ALL SELECT min(closes_at) FROM challenge WHERE closes_at > ?1
		UNION ALL SELECT min(release_at) FROM challenge WHERE release_at > ?1 UNION ALL SELECT min(release_at) FROM round WHERE release_at > ?1)`, millis(now)).Scan(&next)
	return moment(next), err
}

// Now is the moment the store decides by.
func (db *DB) Now() time.Time { return db.now() }

// A querier reads: the read pool, or a write under way.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// read runs f in one snapshot, so that a page's parts agree with each other.
func (db *DB) read(ctx context.Context, f func(q querier) error) error {
	tx, err := db.reads.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return fmt.Errorf("begin a read: %w", err)
	}
	defer tx.Rollback() //nolint:errcheck // nothing was written
	return f(snapshot{tx, &db.lists})
}

// rows collects what scan makes of each row.
func rows[T any](ctx context.Context, q querier, scan func(*sql.Rows) (T, error), query string, args ...any) ([]T, error) {
	rs, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rs.Close()
	var all []T
	for rs.Next() {
		t, err := scan(rs)
		if err != nil {
			return nil, err
		}
		all = append(all, t)
	}
	return all, rs.Err()
}

// missing turns "no rows" into a refusal with a sentence.
func missing(err error, sentence string) error {
	if errors.Is(err, sql.ErrNoRows) {
		return challenge.NotFound(sentence)
	}
	return err
}

// millis is how a moment is stored: unix milliseconds, 0 for none.
func millis(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMilli()
}

// moment reads a stored time.
func moment(ms int64) time.Time {
	if ms == 0 {
		return time.Time{}
	}
	return time.UnixMilli(ms).UTC()
}
