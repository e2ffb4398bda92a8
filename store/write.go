package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"time"
)

// A Tx is one unit of writing, with its moment fixed.
type Tx struct {
	*sql.Tx
	now    time.Time
	random io.Reader
	lists  *lists
}

// bytes draws n fresh random bytes.
func (tx *Tx) bytes(n int) ([]byte, error) {
	b := make([]byte, n)
	if _, err := io.ReadFull(tx.random, b); err != nil {
		return nil, fmt.Errorf("random bytes: %w", err)
	}
	return b, nil
}

type unit struct {
	ctx  context.Context
	work func(*Tx) error
	done chan error
}

// ErrClosed is the answer to a write after Close.
var ErrClosed = errors.New("the database is closed")

// mostShared bounds how many waiting units share one commit.
const mostShared = 64

// write runs work as one atomic unit and returns when the disk has it, or
// when it was refused and nothing of it was kept. Units that wait at the same
// time share one commit; none can tell. A cancelled ctx takes a unit out of
// the queue, but not out of the middle of its work.
func (db *DB) write(ctx context.Context, work func(*Tx) error) error {
	u := &unit{ctx: ctx, work: work, done: make(chan error, 1)}
	select {
	case db.queue <- u:
	case <-ctx.Done():
		return ctx.Err()
	case <-db.stopped:
		return ErrClosed
	}
	return <-u.done
}

func (db *DB) serveWrites() {
	for {
		select {
		case u := <-db.queue:
			db.commitShared(u)
		case <-db.stopped:
			return
		}
	}
}

// commitShared runs first and whoever waits behind it in one transaction, each
// in a savepoint of its own, and tells all of them after the commit.
func (db *DB) commitShared(first *unit) {
	tx, err := db.writer.BeginTx(context.Background(), nil)
	if err != nil {
		first.done <- fmt.Errorf("begin a write: %w", troubled(err))
		return
	}
	var kept []*unit
	for u := first; u != nil; u = db.waiting(len(kept)) {
		if err := db.runUnit(tx, u); err != nil {
			u.done <- troubled(err)
			continue
		}
		kept = append(kept, u)
	}
	err = tx.Commit()
	if err != nil {
		err = errors.Join(fmt.Errorf("commit: %w", troubled(err)), ignoreDone(tx.Rollback()))
	}
	db.version.Add(1)
	for _, u := range kept {
		u.done <- err
	}
}

func ignoreDone(err error) error {
	if errors.Is(err, sql.ErrTxDone) {
		return nil
	}
	return err
}

// waiting takes the next unit out of the queue, if one waits and the commit
// has room for it.
func (db *DB) waiting(taken int) *unit {
	if taken >= mostShared {
		return nil
	}
	select {
	case u := <-db.queue:
		return u
	default:
		return nil
	}
}

// runUnit keeps the work of one unit or nothing of it. A panic in the work is
// the unit's error: the other units of the commit must not pay for it.
func (db *DB) runUnit(tx *sql.Tx, u *unit) (err error) {
	if err := u.ctx.Err(); err != nil {
		return err
	}
	if _, err := tx.Exec(`SAVEPOINT unit`); err != nil {
		return fmt.Errorf("savepoint: %w", err)
	}
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic in a write: %v", p)
		}
		if err != nil {
			_, undo := tx.Exec(`ROLLBACK TO unit; RELEASE unit`)
			err = errors.Join(err, undo)
			return
		}
		_, err = tx.Exec(`RELEASE unit`)
	}()
	return u.work(&Tx{Tx: tx, now: db.now().UTC().Truncate(time.Millisecond), random: db.random, lists: &db.lists})
}
