package store

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
	"fairladle/challenge/recipe"
)

var testStart = time.Date(2026, 11, 2, 9, 0, 0, 0, time.UTC)

// bench is a database in a temporary folder with a clock the test moves.
type bench struct {
	*DB
	t    *testing.T
	file string
	at   time.Time
	host challenge.Actor
}

func openBench(t *testing.T) *bench {
	b := &bench{t: t, file: filepath.Join(t.TempDir(), "test.db"), at: testStart, host: challenge.Actor{Role: challenge.Host, ID: 1}}
	b.reopen()
	t.Cleanup(func() { require.NoError(t, b.Close()) })
	return b
}

func (b *bench) options() Options {
	return Options{Now: func() time.Time { return b.at }, Random: rand.Reader, Told: watched.Told}
}

func (b *bench) reopen() {
	db, err := Open(b.t.Context(), b.file, b.options())
	require.NoError(b.t, err)
	b.DB = db
}

// open makes a challenge that takes entries now.
func (b *bench) open() challenge.Challenge {
	s := challenge.Settings{Title: "Stuffed leaves", Zone: "UTC", OpensAt: b.at.Add(-time.Hour), ClosesAt: b.at.AddDate(0, 0, 14),
		Release: b.at.AddDate(0, 0, 30), EntriesPerPerson: 1, Kitchen: challenge.DefaultKitchen(), Criteria: challenge.DefaultCriteria()}
	slug, err := b.CreateChallenge(b.t.Context(), b.host, s)
	require.NoError(b.t, err)
	c, err := b.ChallengeBySlug(b.t.Context(), slug)
	require.NoError(b.t, err)
	require.NoError(b.t, b.Announce(b.t.Context(), b.host, c.ID))
	return b.reload(c)
}

func (b *bench) reload(c challenge.Challenge) challenge.Challenge {
	c, err := b.Challenge(b.t.Context(), c.ID)
	require.NoError(b.t, err)
	return c
}

func submission(i int) challenge.Submission {
	return challenge.Submission{Name: fmt.Sprintf("Cook%d Medlar", i), Email: fmt.Sprintf("cook%d@example.org", i), Origin: challenge.OriginOwn,
		Text:     fmt.Sprintf("Parcels %d\n\n2 cups rice\n1 lemon\n\nBoil the rice for %d minutes.\n\nCook%d Medlar", i, 10+i, i),
		Consents: map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true}}
}

func TestUnitsShareACommitAndFailAlone(t *testing.T) {
	b := openBench(t)
	_, err := b.writer.Exec(`CREATE TABLE note (n INTEGER PRIMARY KEY) STRICT`)
	require.NoError(t, err)
	refused := errors.New("refused")
	var wg sync.WaitGroup
	results := make([]error, 200)
	for i := range results {
		wg.Go(func() {
			results[i] = b.write(t.Context(), func(tx *Tx) error {
				if _, err := tx.ExecContext(t.Context(), `INSERT INTO note (n) VALUES (?)`, i); err != nil {
					return err
				}
				switch i % 10 {
				case 3:
					return refused
				case 7:
					panic("a bug")
				}
				return nil
			})
		})
	}
	wg.Wait()
	kept := 0
	for i, err := range results {
		switch i % 10 {
		case 3:
			require.ErrorIs(t, err, refused)
		case 7:
			require.ErrorContains(t, err, "panic in a write: a bug")
		default:
			require.NoError(t, err)
			kept++
		}
	}
	var n int
	require.NoError(t, b.reads.QueryRow(`SELECT count(*) FROM note`).Scan(&n))
	require.Equal(t, kept, n)
}

func TestCancelledUnitLeavesTheQueue(t *testing.T) {
	b := openBench(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	require.ErrorIs(t, b.write(ctx, func(*Tx) error { return nil }), context.Canceled)
}

func TestReadPoolCannotWrite(t *testing.T) {
	b := openBench(t)
	_, err := b.reads.Exec(`UPDATE site SET name = 'x'`)
	require.Error(t, err)
}

func TestPragmasHoldOnEveryConnection(t *testing.T) {
	b := openBench(t)
	for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "secure_delete": "1"} {
		var got string
		require.NoError(t, b.writer.QueryRow("PRAGMA "+pragma).Scan(&got))
		require.Equal(t, want, got, pragma)
	}
}

func TestSchemaFromAnotherProgramIsRefusedUntouched(t *testing.T) {
	b := openBench(t)
	_, err := b.writer.Exec(`INSERT INTO migration (number, name, checksum, applied_at) VALUES (99, '0099_later.sql', 'x', 0)`)
	require.NoError(t, err)
	_, err = Open(t.Context(), b.file, b.options())
	require.ErrorContains(t, err, "newer version of Fairladle")
	_, err = b.writer.Exec(`DELETE FROM migration WHERE number = 99; UPDATE migration SET checksum = 'y' WHERE number = 1`)
	require.NoError(t, err)
	_, err = Open(t.Context(), b.file, b.options())
	require.ErrorContains(t, err, "another form")
}

func TestDamagedFileIsRefused(t *testing.T) {
	b := openBench(t)
	_, err := Open(t.Context(), filepath.Join(t.TempDir(), "missing", "folder.db"), b.options())
	require.Error(t, err)
}

func TestLedgerHoldsAndNoticesAChangedBody(t *testing.T) {
	b := openBench(t)
	c := b.open()
	for i := range 12 {
		_, _, err := b.Submit(t.Context(), c.ID, "", submission(i), "", nil)
		require.NoError(t, err)
	}
	found, err := b.CheckLedger(t.Context(), c.ID)
	require.NoError(t, err)
	require.Len(t, found, 13)
	for _, f := range found {
		require.Equal(t, ledger.Holds, f.State)
	}
	_, err = b.writer.Exec(`DELETE FROM ledger_body WHERE seq = 4; UPDATE ledger_body SET body = CAST(replace(CAST(body AS TEXT), '"entry":6', '"entry":9') AS BLOB) WHERE seq = 6`)
	require.NoError(t, err)
	found, err = b.CheckLedger(t.Context(), c.ID)
	require.NoError(t, err)
	require.Equal(t, ledger.Tampered, found[4].State, "no erasure of it is on record")
	require.Equal(t, ledger.Tampered, found[6].State)
	require.Equal(t, ledger.Holds, found[7].State)
}

func TestSlipHoldsAgainstTheLedgerKey(t *testing.T) {
	b := openBench(t)
	c := b.open()
	for i := range 5 {
		_, _, err := b.Submit(t.Context(), c.ID, "", submission(i), "", nil)
		require.NoError(t, err)
	}
	dish, err := b.EntryByNumber(t.Context(), c.ID, 3)
	require.NoError(t, err)
	slip, err := b.Slip(t.Context(), challenge.Actor{Role: challenge.Entrant, ID: dish, Challenge: c.ID})
	require.NoError(t, err)
	key, err := b.LedgerKey(t.Context())
	require.NoError(t, err)
	for _, claim := range slip.Verify(key) {
		require.True(t, claim.Holds, "%s: %s", claim.What, claim.Detail)
	}
	slip.Body = slip.Body[:len(slip.Body)-1] + " }"
	require.False(t, slip.Verify(key)[1].Holds)
}

func TestBlindRecipeHoldsNoNameAndKeepsCorrections(t *testing.T) {
	b := openBench(t)
	c := b.open()
	s := submission(1)
	s.Text = "Cook1 Medlar's parcels\n\n2 cups rice\n1 lemon\n\nBoil the rice for 10 minutes.\n\nCook1 Medlar, cook1@example.org"
	_, _, err := b.Submit(t.Context(), c.ID, "", s, "", nil)
	require.NoError(t, err)
	dish, err := b.EntryByNumber(t.Context(), c.ID, 1)
	require.NoError(t, err)
	own := challenge.Actor{Role: challenge.Entrant, ID: dish, Challenge: c.ID}
	o, err := b.OwnEntry(t.Context(), own)
	require.NoError(t, err)
	rice := o.Recipe.Reading.Ingredients()[0]
	fix := recipe.Correction{At: rice.At, Was: rice.At.In(o.Recipe.Text), Field: "ingredient.name", Value: "brown rice"}
	require.NoError(t, b.ChangeEntry(t.Context(), own, 1, o.Recipe.Text, "", []recipe.Correction{fix}))
	blind, err := b.Masked(t.Context(), dish)
	require.NoError(t, err)
	require.NotContains(t, blind.Text+blind.Dish.Title+blind.Reading.Title, "Medlar")
	require.NotContains(t, blind.Text, "example.org")
	require.Equal(t, "brown rice", blind.Reading.Ingredients()[0].Name, "the correction moved with the masked text")
	require.Empty(t, blind.Orphaned)

	// An older reader's breakdown is read anew, and the correction lies over it.
	_, err = b.writer.ExecContext(t.Context(), `UPDATE breakdown SET reader = ?, reading = '{}' WHERE dish_id = ?`, recipe.Version-1, dish)
	require.NoError(t, err)
	o, err = b.OwnEntry(t.Context(), own)
	require.NoError(t, err)
	require.Len(t, o.Recipe.Reading.Ingredients(), 2)
	require.Equal(t, "brown rice", o.Recipe.Reading.Ingredients()[0].Name)
	require.Empty(t, o.Recipe.Orphaned)
}

// TestListQueriesUseAnIndex runs every list query through EXPLAIN QUERY PLAN:
// none may read a whole table.
func TestListQueriesUseAnIndex(t *testing.T) {
	b := openBench(t)
	for sort := range sorts {
		query, args := FieldQuery{Sort: sort, Search: "rice", Size: 50}.sql(1)
		b.requireNoScan(query, args, sort)
	}
	query, args := FieldQuery{Size: 50, AfterKey: "3", AfterNumber: 3}.sql(1)
	b.requireNoScan(query, args, "next page")
	b.requireNoScan(dishSelect+`JOIN round_in ON round_in.dish_id = dish.id WHERE round_in.round_id = ? ORDER BY round_in.place`, []any{1}, "dishes in")
	b.requireNoScan(sheetSelect+`WHERE round_id = ? AND judge_id = ?`, []any{1, 1}, "own sheets")
	b.requireNoScan(leafSelect, []any{1}, "ledger")
	b.requireNoScan(`SELECT id, kind, subject_id FROM job WHERE state = 'waiting' ORDER BY id LIMIT 1`, nil, "next job")
	b.requireNoScan(`SELECT dish_id, reader_id, mark, note FROM mark WHERE round_id = ? AND reader_id = ?`, []any{1, 1}, "own marks")
}

func (b *bench) requireNoScan(query string, args []any, name string) {
	for _, step := range b.plan(query, args...) {
		scans := strings.HasPrefix(step, "SCAN ") && !strings.Contains(step, "INDEX") && !strings.Contains(step, "VIRTUAL TABLE")
		require.False(b.t, scans, "%s: %s", name, step)
	}
}

// plan is how a statement is carried out, a step a line.
func (b *bench) plan(query string, args ...any) []string {
	scan := func(r *sql.Rows) (detail string, err error) {
		var id, parent, unused int
		return detail, r.Scan(&id, &parent, &unused, &detail)
	}
	steps, err := rows(b.t.Context(), b.reads, scan, "EXPLAIN QUERY PLAN "+query, args...)
	require.NoError(b.t, err, query)
	return steps
}

func TestEntrantIsToldOnce(t *testing.T) {
	b := openBench(t)
	c := b.open()
	_, token, err := b.Submit(t.Context(), c.ID, "", submission(1), "", nil)
	require.NoError(t, err)
	require.NoError(t, b.MailReceived(t.Context(), token))
	require.NoError(t, b.MailReceived(t.Context(), token))
	due, err := b.Due(t.Context(), 10)
	require.NoError(t, err)
	require.Len(t, due, 1)
	require.NoError(t, b.NotSent(t.Context(), due[0].ID, "421", false))
	due, err = b.Due(t.Context(), 10)
	require.NoError(t, err)
	require.Empty(t, due, "the next try comes a minute later")
	b.at = b.at.Add(time.Minute)
	due, err = b.Due(t.Context(), 10)
	require.NoError(t, err)
	require.Len(t, due, 1)
	require.NoError(t, b.Sent(t.Context(), due[0].ID))
	waiting, err := b.Waiting(t.Context(), 10)
	require.NoError(t, err)
	require.Empty(t, waiting)
}

// A small column behind a large list would be read through all of the list.
func TestListsStandLastInTheirRows(t *testing.T) {
	b := openBench(t)
	for table, large := range map[string]string{"closing_list": "roster", "draw": "roster", "round": "document"} {
		var last string
		require.NoError(t, b.reads.QueryRow(`SELECT name FROM pragma_table_info(?) ORDER BY cid DESC LIMIT 1`, table).Scan(&last))
		require.Equal(t, large, last, table)
	}
}
