package store

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// A full disk refuses an entry in words, keeps every one before it, and takes
// more as soon as there is room.
func TestFullDisk(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c := b.open()
	var pages int
	require.NoError(t, b.writer.QueryRow(`PRAGMA page_count`).Scan(&pages))
	_, err := b.writer.Exec(fmt.Sprintf(`PRAGMA max_page_count = %d`, pages+6))
	require.NoError(t, err)
	kept := 0
	for kept < 200 {
		if _, _, err = b.Submit(ctx, c.ID, "", submission(kept+1), "", nil); err != nil {
			break
		}
		kept++
	}
	require.ErrorIs(t, err, ErrFull)
	require.ErrorContains(t, err, "the disk is full")
	require.Positive(t, kept)
	require.Equal(t, kept, b.reload(c).Entries)
	require.Equal(t, map[ledger.State]int{ledger.Holds: kept + 1}, b.states(c))
	_, err = b.writer.Exec(`PRAGMA max_page_count = 1000000`)
	require.NoError(t, err)
	number, _, err := b.Submit(ctx, c.ID, "", submission(kept+1), "", nil)
	require.NoError(t, err)
	require.Equal(t, kept+1, number, "no number was lost")
	require.NoError(t, b.Close())
	b.reopen()
	require.Equal(t, map[ledger.State]int{ledger.Holds: kept + 2}, b.states(c))
}

func TestReadOnlyFolder(t *testing.T) {
	b := openBench(t)
	c := b.open()
	_, err := b.writer.Exec(`PRAGMA query_only = 1`) // what SQLite answers on a disk mounted to be read
	require.NoError(t, err)
	_, _, err = b.Submit(t.Context(), c.ID, "", submission(1), "", nil)
	require.ErrorIs(t, err, ErrReadOnly)
	require.Zero(t, b.reload(c).Entries, "pages are still shown")

	_, err = Open(t.Context(), filepath.Join(t.TempDir(), "nowhere", "fairladle.db"), b.options())
	require.ErrorIs(t, err, ErrNoFile)
	require.ErrorContains(t, err, "look whether its folder is there")
}

// A file that is no database, or whose first page was written over, is
// refused in words and left as it is.
func TestDamagedFile(t *testing.T) {
	b := openBench(t)
	b.open()
	require.NoError(t, b.Close())
	whole, err := os.ReadFile(b.file)
	require.NoError(t, err)
	other := filepath.Join(t.TempDir(), "other.db")
	for _, damaged := range [][]byte{
		append(bytes.Repeat([]byte("soup"), 1024), whole[4096:]...), // another beginning
		append(append(bytes.Clone(whole[:100]), make([]byte, 3996)...), whole[4096:]...),
		[]byte("this is a letter, and a long one: no database has such a beginning. It goes on for quite some while, so that it is no empty file."),
	} {
		require.NoError(t, os.WriteFile(other, damaged, 0o600))
		_, err := Open(t.Context(), other, b.options())
		require.ErrorIs(t, err, ErrDamaged)
		require.ErrorContains(t, err, "fairladle restore")
		after, err := os.ReadFile(other)
		require.NoError(t, err)
		require.Equal(t, damaged, after, "it was not changed")
	}
	b.reopen()
}

// A clock that is set back or ahead disturbs no draw: its record still holds,
// and nothing in it runs backwards.
func TestClockJumps(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c, r := b.drawing(4, nil)
	frozen := b.at
	for i, jump := range []time.Duration{-48 * time.Hour, -time.Hour, 0} {
		b.at = frozen.Add(jump)
		require.NoError(t, b.roll(c, r, i+1, min(i+1, 2), []int{3, 3, 1}[i]), "roll %d at %v", i+1, b.at)
		if d, err := b.DrawState(ctx, r.ID); err == nil && d.State.Done {
			break
		}
	}
	b.at = frozen.Add(-time.Hour)
	_, err := b.CloseRound(ctx, b.host, c.ID, r.ID)
	require.NoError(t, err)
	b.at = c.ReleaseAt.AddDate(1, 0, 0)
	c = b.reload(c)
	doc, err := b.DrawRecord(ctx, c, c.Rounds[0])
	require.NoError(t, err)
	report := draw.Verify(doc, draw.Options{})
	require.True(t, report.Holds(), report.First())
	last := report.Record.Plan.FrozenAt
	for _, e := range report.Record.Events {
		require.False(t, e.At.Before(last))
		last = e.At
	}
	require.Zero(t, b.states(c)[ledger.Tampered])
}

// olderFile is a file that the program wrote when schema 0001 was its only
// one: five entries were read, three picked, a draw rehearsed and begun.
func olderFile(t *testing.T) string {
	f, err := os.Open("testdata/schema-0001.db.gz")
	require.NoError(t, err)
	defer f.Close()
	z, err := gzip.NewReader(f)
	require.NoError(t, err)
	b, err := io.ReadAll(z)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "older.db")
	require.NoError(t, os.WriteFile(file, b, 0o600))
	return file
}

// From every schema there was, with what the first one wrote: it opens, its
// ledger holds, and its draw goes on.
func TestUpgradeFromEverySchema(t *testing.T) {
	all, err := known()
	require.NoError(t, err)
	for schema := 1; schema <= len(all); schema++ {
		b := &bench{t: t, file: olderFile(t), at: testStart.AddDate(0, 0, 16), host: challenge.Actor{Role: challenge.Host, ID: 1}}
		writer := openSQL(dsn(b.file, nil), b.options())
		require.NoError(t, migrateTo(t.Context(), writer, b.options(), all[:schema]), "schema %d", schema)
		require.NoError(t, writer.Close())
		b.reopen()
		c, err := b.Challenge(t.Context(), 1)
		require.NoError(t, err)
		require.Equal(t, 5, c.Entries)
		states := b.states(c)
		require.Len(t, states, 1, "schema %d: %v", schema, states)
		require.Positive(t, states[ledger.Holds])
		r := c.Of(challenge.Draw)[0]
		held, err := b.Rehearsals(t.Context(), r.ID)
		require.NoError(t, err)
		require.Len(t, held, 1)
		require.True(t, held[0].Finished)
		require.NoError(t, b.roll(c, r, 2, 2, 1), "schema %d", schema)
		page, err := b.Field(t.Context(), b.host, c.ID, FieldQuery{Sort: "title", Size: 10})
		require.NoError(t, err)
		require.Len(t, page.Lines, 5)
		require.Equal(t, "Parcels 1", page.Lines[0].Title)
		require.NoError(t, b.Close())
	}
}
