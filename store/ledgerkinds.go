package store

import (
	"context"
	"database/sql"
	"sync"

	"fairladle/challenge"
)

// A leafKind is what decides who may see a leaf.
type leafKind struct {
	kind  string
	round int
}

// kindCounts counts the leaves of each ledger by kind. Counting a long one
// takes as long as the rest of a page, so that only what came since the last
// time is counted.
type kindCounts struct {
	lock sync.Mutex
	held map[int64]kindCount
}

type kindCount struct {
	size int64
	n    map[leafKind]int
}

// of counts the leaves of a ledger of size leaves that have a body. The answer
// must not be changed.
func (x *kindCounts) of(ctx context.Context, q querier, challengeID, size int64) (map[leafKind]int, error) {
	x.lock.Lock()
	old := x.held[challengeID]
	x.lock.Unlock()
	if old.size == size && size > 0 {
		return old.n, nil
	}
	var from int64
	if old.size < size {
		from = old.size
	}
	since, err := countKinds(ctx, q, challengeID, from, size)
	if err != nil {
		return nil, err
	}
	if from > 0 && changesOlder(since) {
		from = 0
		if since, err = countKinds(ctx, q, challengeID, 0, size); err != nil {
			return nil, err
		}
	}
	if from > 0 {
		for k, n := range old.n {
			since[k] += n
		}
	}
	x.lock.Lock()
	defer x.lock.Unlock()
	if x.held == nil {
		x.held = map[int64]kindCount{}
	}
	if x.held[challengeID].size < size {
		x.held[challengeID] = kindCount{size, since}
	}
	return since, nil
}

// changesOlder says whether something among the new leaves took bodies of
// older ones away, or moved the rounds they belong to.
func changesOlder(since map[leafKind]int) bool {
	return since[leafKind{challenge.EventErased, 0}] > 0 || since[leafKind{challenge.EventRoundsChanged, 0}] > 0
}

func countKinds(ctx context.Context, q querier, challengeID, from, to int64) (map[leafKind]int, error) {
	type counted struct {
		leafKind
		n int
	}
	scan := func(r *sql.Rows) (c counted, err error) { return c, r.Scan(&c.kind, &c.round, &c.n) }
	query := `SELECT kind, round, count(*) FROM ledger_body WHERE challenge_id = ?1 AND seq >= ?2 AND seq < ?3 GROUP BY kind, round`
	if from == 0 {
		// All of them: then the index alone is read.
		query = `SELECT kind, round, count(*) FROM ledger_body INDEXED BY ledger_body_by_kind WHERE challenge_id = ?1 AND ?2 < ?3 GROUP BY kind, round`
	}
	all, err := rows(ctx, q, scan, query, challengeID, from, to)
	n := make(map[leafKind]int, len(all))
	for _, c := range all {
		n[c.leafKind] = c.n
	}
	return n, err
}
