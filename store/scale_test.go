package store

import (
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
)

// TestScaleOfReading measures a round of 10,000 entries, 100 readers and
// 50,000 marks. It takes minutes; FAIRLADLE_LONG=1 runs it.
func TestScaleOfReading(t *testing.T) {
	if os.Getenv("FAIRLADLE_LONG") != "1" {
		t.Skip("set FAIRLADLE_LONG=1 to measure 10,000 entries")
	}
	const entries, readers, perEntry = 10_000, 100, 5
	x := openReadingBench(t, 1, 0, challenge.Params{Keep: 10, PerEntry: perEntry})
	x.fillEntries(entries)
	for i := 1; i <= readers; i++ {
		x.invite(i)
	}
	x.took("open the round: allocate and store", 2*time.Second, func() { x.begin() })
	require.NoError(t, x.write(t.Context(), func(tx *Tx) error {
		_, err := tx.ExecContext(t.Context(), `INSERT INTO mark (round_id, dish_id, reader_id, mark, at)
			SELECT round_id, dish_id, reader_id, CASE (dish_id * 7 + reader_id * 13 + (dish_id % 97) / 40) % 3 WHEN 0 THEN 'keep' WHEN 1 THEN 'maybe' ELSE 'out' END, ?
			FROM reading_share`, millis(x.at))
		return err
	}))
	var cut Cut
	x.took("rank 50,000 marks, with resampling", 12*time.Second, func() { cut = x.cut() })
	require.Len(t, cut.Lines, entries)
	require.Positive(t, cut.Resampled)
	t.Logf("resampled %d times", cut.Resampled)
	x.took("one reader's share", 50*time.Millisecond, func() { require.NotEmpty(t, x.share(x.readers[7]).Steps) })
	for _, sort := range []string{"number", "title", "minutes", "findings", "received"} {
		q := FieldQuery{Sort: sort, Size: 50}
		x.took("the list by "+sort, 50*time.Millisecond, func() {
			p, err := x.Field(t.Context(), x.host, x.c.ID, q)
			require.NoError(t, err)
			require.Len(t, p.Lines, 50)
			q.AfterKey, q.AfterNumber = p.NextKey, p.NextNumber
		})
		x.took("its next page", 50*time.Millisecond, func() {
			_, err := x.Field(t.Context(), x.host, x.c.ID, q)
			require.NoError(t, err)
		})
	}
}

// took runs f and fails where it takes longer than the goal. The goals are
// generous by half, for slow machines.
func (x *readingBench) took(what string, goal time.Duration, f func()) {
	start := time.Now()
	f()
	d := time.Since(start)
	x.t.Logf("%-45s %v (goal %v)", what, d.Round(time.Microsecond), goal)
	require.Less(x.t, d, goal+goal/2, what)
}

// fillEntries copies the first entry, without its author, until there are n.
func (x *readingBench) fillEntries(n int) {
	require.NoError(x.t, x.write(x.t.Context(), func(tx *Tx) error {
		for i := 2; i <= n; i++ {
			var id int64
			err := tx.QueryRowContext(x.t.Context(), `INSERT INTO dish (challenge_id, kind, title, version, created_at) VALUES (?, 'entry', ?, 1, ?) RETURNING id`,
				x.c.ID, fmt.Sprintf("Parcels %d", i*7919%n), millis(tx.now)+int64(i)).Scan(&id)
			if err != nil {
				return err
			}
			if _, err := tx.ExecContext(x.t.Context(), `INSERT INTO dish_version (dish_id, version, text, masked, masks, received_at, salt, content)
				SELECT ?, 1, text, masked, masks, received_at, salt, content FROM dish_version WHERE dish_id = ?`, id, x.dish1(tx)); err != nil {
				return err
			}
			if _, err := tx.ExecContext(x.t.Context(), `INSERT INTO entry (dish_id, challenge_id, number, findings, ingredients, minutes, agreed) VALUES (?, ?, ?, ?, ?, ?, 1)`,
				id, x.c.ID, i, i%7, i%23, i%300); err != nil {
				return err
			}
		}
		return nil
	}))
}

func (x *readingBench) dish1(tx *Tx) (id int64) {
	require.NoError(x.t, tx.QueryRow(`SELECT min(dish_id) FROM entry`).Scan(&id))
	return id
}
