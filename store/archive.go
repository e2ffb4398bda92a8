package store

import (
	"context"
	"database/sql"
	"time"

	"fairladle/challenge"
)

// An Archive is what has been released on this site: challenges with results,
// and where something is looked for, the challenges and recipes it was found
// in.
type Archive struct {
	Challenges []challenge.Challenge // newest first
	Recipes    []ArchivedRecipe      // best match first; none without a search
	More       bool                  // more recipes match than are listed
}

// An ArchivedRecipe is a published recipe and where it was sent.
type ArchivedRecipe struct {
	Dish      PublicDish
	Slug      string
	Challenge string
}

// mostFound is how many recipes a search lists.
const mostFound = 60

// Archive lists released challenges, all of them or those that match; and
// published recipes that match. Nothing that is not public is looked at.
func (db *DB) Archive(ctx context.Context, search string) (x Archive, err error) {
	match := searchTerms(search)
	err = db.read(ctx, func(q querier) error {
		now := db.now()
		all, err := released(ctx, q, now)
		if err != nil {
			return err
		}
		if match == "" {
			x.Challenges = all
			return nil
		}
		var names []int64 // those in which names and recipes may be shown
		byID := map[int64]challenge.Challenge{}
		for _, c := range all {
			byID[c.ID] = c
			if c.Shows(challenge.Public, now).Credits {
				names = append(names, c.ID)
			}
		}
		found, err := rows(ctx, q, scanID, archiveChallenges, match)
		if err != nil {
			return err
		}
		for _, id := range found {
			if c, is := byID[id]; is {
				x.Challenges = append(x.Challenges, c)
			}
		}
		return x.find(ctx, q, match, names, byID)
	})
	return x, err
}

const (
	archiveChallenges = `SELECT rowid FROM challenge_search WHERE challenge_search MATCH ? ORDER BY rank LIMIT 200`
	archiveRecipes    = `JOIN dish_search ON dish_search.rowid = dish.id WHERE dish_search MATCH ?
		AND entry.state = 'in' AND entry.challenge_id IN (SELECT value FROM json_each(?))
		AND (SELECT given FROM consent c WHERE c.dish_id = dish.id AND c.kind = 'published' ORDER BY c.id DESC LIMIT 1) = 1
		ORDER BY dish_search.rank, dish.id LIMIT ?`
)

// released lists the challenges that have a result to be read, newest first.
func released(ctx context.Context, q querier, now time.Time) ([]challenge.Challenge, error) {
	scan := func(r *sql.Rows) (challenge.Challenge, error) { return scanChallenge(r) }
	cs, err := rows(ctx, q, scan, `SELECT `+challengeColumns+` FROM challenge WHERE announced_at > 0 ORDER BY id DESC`)
	var out []challenge.Challenge
	for _, c := range cs {
		if c, err = withRounds(ctx, q, c); err != nil {
			return nil, err
		}
		if c.Shows(challenge.Public, now).Results {
			out = append(out, c)
		}
	}
	return out, err
}

func (x *Archive) find(ctx context.Context, q querier, match string, in []int64, byID map[int64]challenge.Challenge) error {
	ds, err := rows(ctx, q, scanDisclosed, disclosedSelect+archiveRecipes, match, jsonText(in), mostFound+1)
	if err != nil {
		return err
	}
	x.More = len(ds) > mostFound
	for _, d := range ds[:min(len(ds), mostFound)] {
		var id int64
		if err := q.QueryRowContext(ctx, `SELECT challenge_id FROM dish WHERE id = ?`, d.ID).Scan(&id); err != nil {
			return err
		}
		if p := d.public(true); p.Recipe {
			x.Recipes = append(x.Recipes, ArchivedRecipe{p, byID[id].Slug, byID[id].Title})
		}
	}
	return nil
}
