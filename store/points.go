package store

import (
	"context"
	"database/sql"
	"strconv"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/season"
)

// A SeasonView is a season as everyone sees it.
type SeasonView struct {
	Season     Season
	Challenges []SeasonChallenge // announced, in the order they were made
	Lines      []season.Line
}

// A SeasonChallenge is a challenge of a season; it counts once its final
// result stands.
type SeasonChallenge struct {
	Challenge challenge.Challenge
	Counts    bool
	Results   bool // some may be read
}

// SeasonView shows a season. Points follow from what is public at this moment:
// a credit taken back is gone from it, and an entry whose author is not named
// stands by itself, under its number.
func (db *DB) SeasonView(ctx context.Context, slug string) (v SeasonView, err error) {
	err = db.read(ctx, func(q querier) error {
		if v.Season, err = scanSeason(q.QueryRowContext(ctx, seasonSelect+`WHERE slug = ?`, slug)); err != nil {
			return missing(err, noSeason)
		}
		ids, err := rows(ctx, q, scanID, `SELECT challenge_id FROM season_challenge WHERE season_id = ? ORDER BY challenge_id`, v.Season.ID)
		if err != nil {
			return err
		}
		var entries []season.Entry
		for _, id := range ids {
			c, err := challengeByID(ctx, q, id)
			if err != nil {
				return err
			}
			if c.AnnouncedAt.IsZero() {
				continue
			}
			shows := c.Shows(challenge.Public, db.now())
			if shows.Final {
				scored, err := seasonEntries(ctx, q, c, shows, len(v.Challenges))
				if err != nil {
					return err
				}
				entries = append(entries, scored...)
			}
			v.Challenges = append(v.Challenges, SeasonChallenge{c, shows.Final, shows.Results})
		}
		v.Lines = season.Standings(v.Season.Rule, entries)
		return nil
	})
	return v, err
}

// seasonEntries are the entries of a finished challenge that reached something
// or are published.
func seasonEntries(ctx context.Context, q querier, c challenge.Challenge, shows challenge.Showing, at int) ([]season.Entry, error) {
	x, err := disclosure{ctx: ctx, q: q, challenge: c, shows: shows}.all()
	if err != nil {
		return nil, err
	}
	all := map[int64]*season.Entry{}
	var order []int64
	entry := func(d PublicDish) *season.Entry {
		if d.House() || d.Withdrawn {
			return &season.Entry{}
		}
		if all[d.ID] == nil {
			all[d.ID] = &season.Entry{Challenge: at, Number: d.Number, Title: d.Title, Name: d.Credit, Published: d.Recipe}
			order = append(order, d.ID)
		}
		return all[d.ID]
	}
	for _, level := range x.Final {
		for _, d := range level {
			entry(d).Place = x.placeOf(d.ID)
		}
	}
	for _, d := range x.Finalists {
		entry(d).Finalist = true
	}
	if d := x.Cooked(); d != nil {
		entry(*d).Drawn = true
	}
	for _, d := range x.Recipes {
		entry(d)
	}
	people, err := peopleBehind(ctx, q, order)
	if err != nil {
		return nil, err
	}
	var out []season.Entry
	for _, id := range order {
		e := all[id]
		if e.Name != "" {
			e.Who = strconv.FormatInt(people[id], 10) + " " + strings.ToLower(strings.Join(strings.Fields(e.Name), " "))
		}
		out = append(out, *e)
	}
	return out, nil
}

// peopleBehind finds who sent entries: the same address is the same person,
// however it was written. It stays within the store.
func peopleBehind(ctx context.Context, q querier, dishes []int64) (map[int64]int64, error) {
	type behind struct{ dish, person int64 }
	scan := func(r *sql.Rows) (b behind, err error) { return b, r.Scan(&b.dish, &b.person) }
	found, err := rows(ctx, q, scan, peopleBehindSelect, jsonText(dishes))
	people := map[int64]int64{}
	for _, b := range found {
		people[b.dish] = b.person
	}
	return people, err
}

const peopleBehindSelect = `SELECT entrant.dish_id, COALESCE((SELECT min(same.person_id) FROM address JOIN address same ON same.email_key = address.email_key
	WHERE address.person_id = entrant.person_id), entrant.person_id) FROM json_each(?) AS wanted CROSS JOIN entrant ON entrant.dish_id = wanted.value`
