package store

import (
	"context"
	"database/sql/driver"

	"modernc.org/sqlite"
)

// SQLite takes longer to parse and plan a statement of this program than to
// run it, so that each connection keeps those it was asked for.

// A preparedDriver is SQLite whose connections keep their statements.
type preparedDriver struct{ sqlite.Driver }

func (d *preparedDriver) Open(name string) (driver.Conn, error) {
	c, err := d.Driver.Open(name)
	if err != nil {
		return nil, err
	}
	return &preparedConn{c.(sqliteConn), map[string]*preparedStmt{}}, nil
}

// sqliteConn is what SQLite's connections can do for database/sql.
type sqliteConn interface {
	driver.Conn
	driver.ConnBeginTx
	driver.ConnPrepareContext
	driver.Pinger
	driver.SessionResetter
	driver.Validator
}

// mostPrepared bounds what one connection keeps; a statement takes some
// kilobytes.
const mostPrepared = 128

type preparedConn struct {
	sqliteConn
	kept map[string]*preparedStmt
}

// A preparedStmt is a statement with what is needed to run it again.
type preparedStmt struct {
	driver.Stmt
	kept bool
	open bool // its rows are being read
}

// statement is the kept statement of a text, or a new one. While the rows of
// a statement are read, the same text needs another.
func (c *preparedConn) statement(ctx context.Context, query string) (*preparedStmt, error) {
	s := c.kept[query]
	if s != nil && !s.open {
		return s, nil
	}
	plain, err := c.PrepareContext(ctx, query)
	if err != nil {
		return nil, err
	}
	fresh := &preparedStmt{Stmt: plain}
	if s == nil && c.room() {
		fresh.kept, c.kept[query] = true, fresh
	}
	return fresh, nil
}

// room gives up any one statement where too many are kept; what is asked for
// often soon is kept again.
func (c *preparedConn) room() bool {
	if len(c.kept) < mostPrepared {
		return true
	}
	for query, s := range c.kept {
		if !s.open {
			delete(c.kept, query)
			return s.Close() == nil
		}
	}
	return false
}

func (c *preparedConn) ExecContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Result, error) {
	s, err := c.statement(ctx, query)
	if err != nil {
		return nil, err
	}
	r, err := s.Stmt.(driver.StmtExecContext).ExecContext(ctx, args)
	if closed := s.done(); err == nil {
		err = closed
	}
	return r, err
}

func (c *preparedConn) QueryContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Rows, error) {
	s, err := c.statement(ctx, query)
	if err != nil {
		return nil, err
	}
	r, err := s.Stmt.(driver.StmtQueryContext).QueryContext(ctx, args)
	if err != nil {
		s.done() //nolint:errcheck // the first error is the one to tell
		return nil, err
	}
	s.open = true
	return preparedRows{r, s}, nil
}

// done ends a statement that is not kept.
func (s *preparedStmt) done() error {
	s.open = false
	if s.kept {
		return nil
	}
	return s.Close()
}

func (c *preparedConn) Close() error {
	for _, s := range c.kept {
		s.Close() //nolint:errcheck // the connection ends with its statements
	}
	return c.sqliteConn.Close()
}

// preparedRows give their statement back when they are closed.
type preparedRows struct {
	driver.Rows
	of *preparedStmt
}

func (r preparedRows) Close() error {
	err := r.Rows.Close()
	if closed := r.of.done(); err == nil {
		err = closed
	}
	return err
}
