package store

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/likeness"
)

// Look-ups in the index of 100,000 entries stay within 5 ms, the slowest of a
// hundred within 25. It takes a minute or two: FAIRLADLE_LONG=1 runs it.
func TestLookUpAmongMany(t *testing.T) {
	n := 100_000
	if os.Getenv("FAIRLADLE_LONG") == "" {
		n = 300 // the same with few, so that it is run at all
	}
	b := openBench(t)
	c := b.open()
	r := rand.New(rand.NewPCG(3, 4))
	// A vocabulary of 4,000 features, of which some are in every third recipe.
	set := func() likeness.Features {
		f := make(likeness.Features, 60)
		for i := range f {
			f[i] = uint64(float64(4000) * r.Float64() * r.Float64())
		}
		slices.Sort(f)
		return slices.Compact(f)
	}
	sets := map[int64]likeness.Features{}
	var bands []band
	began := time.Now()
	for dish := int64(1); dish <= int64(n); {
		require.NoError(t, b.write(t.Context(), func(tx *Tx) error {
			for range min(2000, n) {
				f := set()
				if dish%1000 == 7 {
					sets[dish] = f
				}
				s := likeness.Sign(f)
				for _, k := range s.Keys() {
					bands = append(bands, band{k, dish})
				}
				if err := bareEntry(t, tx, c.ID, dish, s); err != nil {
					return err
				}
				dish++
			}
			return nil
		}))
	}
	b.keepBands(c.ID, bands)
	t.Logf("%d entries signed and kept in %v", n, time.Since(began).Round(time.Second))
	var took []time.Duration
	for dish, f := range sets {
		start := time.Now()
		found, err := lookUpAlike(t.Context(), b.reads, c.ID, likeness.Sign(f))
		took = append(took, time.Since(start))
		require.NoError(t, err)
		require.NotEmpty(t, found)
		require.Equal(t, dish, found[0].dish)
	}
	slices.SortFunc(took, cmp.Compare)
	t.Logf("look-ups among %d: median %v, slowest of %d %v", n, took[len(took)/2], len(took), took[len(took)-1])
	if os.Getenv("FAIRLADLE_LONG") == "" {
		require.Less(t, took[0], 200*time.Millisecond, "a look-up that reads every band of the challenge takes longer")
		return
	}
	require.Less(t, took[len(took)/2], 5*time.Millisecond)
	require.Less(t, took[len(took)-1], 25*time.Millisecond)
}

type band struct{ key, dish int64 }

// keepBands writes the rows in the order of their table, which is much faster
// than one entry after the other.
func (b *bench) keepBands(challengeID int64, bands []band) {
	slices.SortFunc(bands, func(x, y band) int { return cmp.Or(cmp.Compare(x.key, y.key), cmp.Compare(x.dish, y.dish)) })
	for part := range slices.Chunk(bands, 20_000) {
		rows := make([][2]int64, len(part))
		for i, x := range part {
			rows[i] = [2]int64{x.key, x.dish}
		}
		require.NoError(b.t, b.write(b.t.Context(), func(tx *Tx) error {
			_, err := tx.ExecContext(b.t.Context(), `INSERT OR IGNORE INTO likeness_band (challenge_id, key, dish_id)
				SELECT ?, value ->> 0, value ->> 1 FROM json_each(?)`, challengeID, jsonText(rows))
			return err
		}))
	}
}

// bareEntry is an entry of which nothing is there but its row and signature.
func bareEntry(t *testing.T, tx *Tx, challengeID, dish int64, sign likeness.Signature) error {
	for _, s := range []string{
		fmt.Sprintf(`INSERT INTO dish (id, challenge_id, kind, title, version, created_at) VALUES (%d, %d, 'entry', 'x', 1, 0)`, dish, challengeID),
		fmt.Sprintf(`INSERT INTO entry (dish_id, challenge_id, number, source, findings, ingredients, minutes) VALUES (%d, %d, %d, 'file', 0, 0, 0)`, dish, challengeID, dish),
	} {
		if _, err := tx.ExecContext(t.Context(), s); err != nil {
			return err
		}
	}
	_, err := tx.ExecContext(t.Context(), `INSERT INTO likeness (dish_id, signature) VALUES (?, ?)`, dish, sign.Bytes())
	return err
}
