package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"fmt"
	"slices"
	"strings"
)

// A tellingDriver is SQLite that tells every statement before it runs.
type tellingDriver struct {
	driver.Driver
	told func(query string)
}

func (d tellingDriver) Open(name string) (driver.Conn, error) {
	c, err := d.Driver.Open(name)
	if err != nil {
		return nil, err
	}
	return tellingConn{c, d.told}, nil
}

// A tellingConn passes everything on; without these methods database/sql
// would take longer ways.
type tellingConn struct {
	driver.Conn
	told func(query string)
}

func (c tellingConn) QueryContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Rows, error) {
	c.told(query)
	return c.Conn.(driver.QueryerContext).QueryContext(ctx, query, args)
}

func (c tellingConn) ExecContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Result, error) {
	c.told(query)
	return c.Conn.(driver.ExecerContext).ExecContext(ctx, query, args)
}

func (c tellingConn) PrepareContext(ctx context.Context, query string) (driver.Stmt, error) {
	c.told(query)
	return c.Conn.(driver.ConnPrepareContext).PrepareContext(ctx, query)
}

func (c tellingConn) BeginTx(ctx context.Context, o driver.TxOptions) (driver.Tx, error) {
	return c.Conn.(driver.ConnBeginTx).BeginTx(ctx, o)
}

// A connector opens connections of a driver that is not registered by name.
type connector struct {
	driver driver.Driver
	name   string
}

func (c connector) Connect(context.Context) (driver.Conn, error) { return c.driver.Open(c.name) }
func (c connector) Driver() driver.Driver                        { return c.driver }

// openSQL opens a pool of connections.
func openSQL(name string, o Options) *sql.DB {
	var d driver.Driver = &preparedDriver{}
	if o.Told != nil {
		d = tellingDriver{d, o.Told}
	}
	return sql.OpenDB(connector{d, name})
}

// Scans returns the tables that a statement reads from end to end, or by the
// whole of an index, by the plan that SQLite makes for it. An index over only
// what waits for something is short.
func (db *DB) Scans(ctx context.Context, query string) (tables []string, err error) {
	scan := func(r *sql.Rows) (detail string, err error) {
		var id, parent, unused int
		return detail, r.Scan(&id, &parent, &unused, &detail)
	}
	args := make([]any, strings.Count(query, "?"))
	details, err := rows(ctx, db.reads, scan, `EXPLAIN QUERY PLAN `+query, args...)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", query, err)
	}
	partial, err := rows(ctx, db.reads, scanText, `SELECT name FROM sqlite_schema WHERE type = 'index' AND sql LIKE '% WHERE %'`)
	if err != nil {
		return nil, err
	}
	for _, d := range details {
		words := strings.Fields(d)
		if len(words) > 1 && words[0] == "SCAN" && !strings.Contains(d, "VIRTUAL TABLE") && !strings.Contains(d, "ROW") &&
			!strings.HasPrefix(words[1], "(") && !slices.Contains(partial, words[len(words)-1]) {
			tables = append(tables, words[1])
		}
	}
	return tables, nil
}
