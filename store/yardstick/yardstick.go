package yardstick

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	_ "modernc.org/sqlite" // the database driver
)

// A Pace is how many units were made durable in a time.
type Pace struct {
	Units int
	Took  time.Duration
}

// PerSecond is the pace as a rate.
func (p Pace) PerSecond() float64 { return float64(p.Units) / p.Took.Seconds() }

// A row is a statement with what it writes.
type row struct {
	insert string
	values []any
}

// Entries writes the newest entries of a challenge in the database file from,
// each with every row that an entry consists of, into a copy of its schema
// in the folder dir: at most most of them, and no longer than limit.
func Entries(ctx context.Context, from, dir string, challenge int64, most int, limit time.Duration) (Pace, error) {
	return measure(ctx, from, dir, limit, func(db *sql.DB) ([][]row, error) {
		dishes, err := ids(ctx, db, `SELECT dish_id FROM entry WHERE challenge_id = ? ORDER BY number DESC LIMIT ?`, challenge, most)
		if err != nil {
			return nil, err
		}
		unit, err := rowsOf(ctx, db, "challenge", `id = ?1`, challenge)
		if err != nil {
			return nil, err
		}
		units := make([][]row, 0, len(dishes))
		for _, dish := range dishes {
			for _, of := range entryRows {
				args := []any{dish, challenge}
				if !strings.Contains(of.where, "?2") {
					args = args[:1]
				}
				some, err := rowsOf(ctx, db, of.table, of.where, args...)
				if err != nil {
					return nil, err
				}
				unit = append(unit, some...)
			}
			unit = append(unit, row{`UPDATE challenge SET entries = entries + 1, last_number = last_number + 1 WHERE id = ?`, []any{challenge}})
			units, unit = append(units, unit), nil
		}
		return units, nil
	})
}

// entryRows are the rows of an entry, ?1 being its dish and ?2 the challenge.
var entryRows = []struct{ table, where string }{
	{"person", `id = (SELECT person_id FROM entrant WHERE dish_id = ?1)`},
	{"address", `person_id = (SELECT person_id FROM entrant WHERE dish_id = ?1)`},
	{"dish", `id = ?1`},
	{"dish_version", `dish_id = ?1`},
	{"breakdown", `dish_id = ?1`},
	{"job", `kind = 'index' AND subject_id = ?1`},
	{"entry", `dish_id = ?1`},
	{"entrant", `dish_id = ?1`},
	{"consent", `dish_id = ?1`},
	{"link", `purpose = 'entrant' AND subject_id = ?1`},
	{"ledger_leaf", `challenge_id = ?2 AND seq = (SELECT leaf FROM dish_version WHERE dish_id = ?1)`},
	{"ledger_body", `challenge_id = ?2 AND seq = (SELECT leaf FROM dish_version WHERE dish_id = ?1)`},
	// About two nodes belong to a leaf; these two are not written by another.
	{"ledger_node", `challenge_id = ?2 AND idx BETWEEN 2 * (SELECT leaf FROM dish_version WHERE dish_id = ?1) AND 2 * (SELECT leaf FROM dish_version WHERE dish_id = ?1) + 1`},
}

// Ballots does the same with the ballots of a round: a pass and a ballot each.
func Ballots(ctx context.Context, from, dir string, round int64, most int, limit time.Duration) (Pace, error) {
	return measure(ctx, from, dir, limit, func(db *sql.DB) ([][]row, error) {
		passes, err := rowsOf(ctx, db, "voting_pass", `round_id = ?1 LIMIT ?2`, round, most)
		if err != nil {
			return nil, err
		}
		ballots, err := rowsOf(ctx, db, "ballot", `round_id = ?1 LIMIT ?2`, round, most)
		if err != nil {
			return nil, err
		}
		units := make([][]row, 0, len(ballots))
		for i := range min(len(passes), len(ballots)) {
			units = append(units, []row{passes[i], ballots[i]})
		}
		return units, nil
	})
}

func measure(ctx context.Context, from, dir string, limit time.Duration, collect func(*sql.DB) ([][]row, error)) (p Pace, err error) {
	source, err := sql.Open("sqlite", "file:"+(&url.URL{Path: from}).EscapedPath()+"?mode=ro&_pragma=busy_timeout(5000)")
	if err != nil {
		return p, err
	}
	defer source.Close()
	units, err := collect(source)
	if err != nil {
		return p, err
	}
	if len(units) == 0 {
		return p, errors.New("nothing was written that could be measured against")
	}
	file := filepath.Join(dir, fmt.Sprintf("bare-%d.db", time.Now().UnixNano()))
	defer os.Remove(file)
	bare, err := sql.Open("sqlite", "file:"+(&url.URL{Path: file}).EscapedPath()+
		"?_pragma=busy_timeout(5000)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_txlock=immediate")
	if err != nil {
		return p, err
	}
	defer bare.Close()
	bare.SetMaxOpenConns(1)
	if err := copySchema(ctx, source, bare); err != nil {
		return p, err
	}
	began := time.Now()
	for _, unit := range units {
		if err := write(ctx, bare, unit); err != nil {
			return p, err
		}
		p.Units++
		if p.Took = time.Since(began); p.Took > limit {
			break
		}
	}
	return p, nil
}

func write(ctx context.Context, db *sql.DB, unit []row) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	for _, r := range unit {
		if _, err := tx.ExecContext(ctx, r.insert, r.values...); err != nil {
			return errors.Join(fmt.Errorf("%s: %w", r.insert, err), tx.Rollback())
		}
	}
	return tx.Commit()
}

// copySchema makes the tables and indexes of one database in another.
func copySchema(ctx context.Context, from, to *sql.DB) error {
	rs, err := from.QueryContext(ctx, `SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL AND type IN ('table', 'index') AND name NOT LIKE 'sqlite_%'
		AND name NOT IN (SELECT name FROM pragma_table_list WHERE type IN ('virtual', 'shadow')) ORDER BY type = 'index', rowid`)
	if err != nil {
		return err
	}
	defer rs.Close()
	for rs.Next() {
		var s string
		if err := rs.Scan(&s); err != nil {
			return err
		}
		if _, err := to.ExecContext(ctx, s); err != nil {
			return fmt.Errorf("%s: %w", s, err)
		}
	}
	return rs.Err()
}

func ids(ctx context.Context, db *sql.DB, query string, args ...any) (all []int64, err error) {
	rs, err := db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rs.Close()
	for rs.Next() {
		var id int64
		if err := rs.Scan(&id); err != nil {
			return nil, err
		}
		all = append(all, id)
	}
	return all, rs.Err()
}

// rowsOf reads rows of a table as the statements that write them again. The
// table and the condition are literals of this file.
func rowsOf(ctx context.Context, db *sql.DB, table, where string, args ...any) (all []row, err error) {
	rs, err := db.QueryContext(ctx, "SELECT * FROM "+table+" WHERE "+where, args...)
	if err != nil {
		return nil, err
	}
	defer rs.Close()
	columns, err := rs.Columns()
	if err != nil {
		return nil, err
	}
	insert := "INSERT INTO " + table + " (" + strings.Join(columns, ", ") + ") VALUES (?" + strings.Repeat(", ?", len(columns)-1) + ")"
	for rs.Next() {
		values := make([]any, len(columns))
		into := make([]any, len(columns))
		for i := range values {
			into[i] = &values[i]
		}
		if err := rs.Scan(into...); err != nil {
			return nil, err
		}
		all = append(all, row{insert, values})
	}
	return all, rs.Err()
}
