package store

import (
	"fmt"
	"net/url"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestKeptStatements(t *testing.T) {
	writer := openSQL(dsn(filepath.Join(t.TempDir(), "x.db"), url.Values{"_txlock": {"immediate"}}), Options{})
	defer writer.Close()
	writer.SetMaxOpenConns(1)
	tx, err := writer.BeginTx(t.Context(), nil)
	require.NoError(t, err)
	defer tx.Rollback() //nolint:errcheck // nothing is kept
	_, err = tx.Exec(`CREATE TABLE x (id INTEGER PRIMARY KEY, word TEXT)`)
	require.NoError(t, err)
	const insert, all = `INSERT INTO x (word) VALUES (?)`, `SELECT id, word FROM x ORDER BY id`
	for i := range 3 {
		_, err := tx.Exec(insert, fmt.Sprint("word ", i))
		require.NoError(t, err)
	}

	t.Run("a text is run within its own rows", func(t *testing.T) {
		var pairs []string
		outer, err := tx.Query(all)
		require.NoError(t, err)
		defer outer.Close()
		for outer.Next() {
			var a, b int
			var word string
			require.NoError(t, outer.Scan(&a, &word))
			inner, err := tx.Query(all)
			require.NoError(t, err)
			for inner.Next() {
				require.NoError(t, inner.Scan(&b, &word))
				pairs = append(pairs, fmt.Sprint(a, b))
			}
			require.NoError(t, inner.Close())
		}
		require.Equal(t, []string{"1 1", "1 2", "1 3", "2 1", "2 2", "2 3", "3 1", "3 2", "3 3"}, pairs)
	})
	t.Run("nothing of one run stays for the next", func(t *testing.T) {
		const find = `SELECT COALESCE(?, 'none'), count(*) FROM x WHERE id > ?`
		var given string
		var n int
		require.NoError(t, tx.QueryRow(find, "words", 1).Scan(&given, &n))
		require.Equal(t, []any{"words", 2}, []any{given, n})
		require.NoError(t, tx.QueryRow(find, nil, 0).Scan(&given, &n))
		require.Equal(t, []any{"none", 3}, []any{given, n})
		require.Error(t, tx.QueryRow(find, 1).Scan(&given, &n), "an argument is missing")
		require.NoError(t, tx.QueryRow(find, "again", 2).Scan(&given, &n), "and the statement is as it was")
		require.Equal(t, 1, n)
	})
	t.Run("a failed statement can be run again", func(t *testing.T) {
		const fixed = `INSERT INTO x (id, word) VALUES (?, ?)`
		_, err := tx.Exec(fixed, 1, "taken")
		require.Error(t, err)
		_, err = tx.Exec(fixed, 9, "free")
		require.NoError(t, err)
	})
	t.Run("the schema may change", func(t *testing.T) {
		_, err := tx.Exec(`ALTER TABLE x ADD COLUMN more INTEGER NOT NULL DEFAULT 7`)
		require.NoError(t, err)
		var id, more int
		var word string
		require.NoError(t, tx.QueryRow(`SELECT * FROM x WHERE id = 9`).Scan(&id, &word, &more))
		_, err = tx.Exec(insert, "after")
		require.NoError(t, err)
		require.Equal(t, 7, more)
	})
	t.Run("no more are kept than there is room for", func(t *testing.T) {
		for i := range 2 * mostPrepared {
			var n int
			require.NoError(t, tx.QueryRow(fmt.Sprintf(`SELECT %d`, i)).Scan(&n))
			require.Equal(t, i, n)
		}
		require.NoError(t, tx.Commit())
		c, err := writer.Conn(t.Context())
		require.NoError(t, err)
		defer c.Close()
		require.NoError(t, c.Raw(func(c any) error {
			require.Len(t, c.(*preparedConn).kept, mostPrepared)
			return nil
		}))
	})
}
