package store

import (
	"context"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/shortlist"
	"fairladle/challenge/wording"
)

// An Outlook says what a reading round means before and while it is read: who
// reads, and how the entries are shared out among them.
type Outlook struct {
	Readers []ReaderName
	Entries int
	Words   []wording.Sentence
	Refused error // why its rule does not fit so many readers; nil where it does
}

// A ReaderName is a reader by name; 0 and no name is the host.
type ReaderName struct {
	Reader int64
	Name   string
}

// mostForeseen bounds the entries for which a plan is made only to be looked
// at: beyond it a page would be late.
const mostForeseen = 2000

// ReadingOutlook foresees a planned reading round, or describes an open one.
func (db *DB) ReadingOutlook(ctx context.Context, a challenge.Actor, challengeID, round int64) (o Outlook, err error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return o, err
	}
	err = db.read(ctx, func(q querier) error {
		c, r, err := challengeAndRound(ctx, q, challengeID, round)
		if err != nil {
			return err
		}
		o, err = outlook(ctx, q, c, r)
		return err
	})
	return o, err
}

func outlook(ctx context.Context, q querier, c challenge.Challenge, r challenge.Round) (o Outlook, err error) {
	readers, err := readersOf(ctx, q, c, r)
	if err != nil {
		return o, err
	}
	people, err := participants(ctx, q, c.ID)
	if err != nil {
		return o, err
	}
	names := map[int64]string{}
	for _, p := range people {
		names[p.ID] = p.Name
	}
	for _, id := range readers {
		o.Readers = append(o.Readers, ReaderName{id, names[id]})
	}
	o.Refused = fits(r, len(readers))
	request, err := foreseen(ctx, q, c, r, readers)
	if err != nil {
		return o, err
	}
	o.Entries = len(request.Entries)
	if len(readers) == 0 || o.Entries == 0 || o.Entries > mostForeseen {
		return o, nil
	}
	plan, err := shortlist.Allocate(request)
	o.Words = plan.Words
	return o, err
}

// foreseen is the request of which the plan of a round would be made now; of
// an open round, all that is dealt stands.
func foreseen(ctx context.Context, q querier, c challenge.Challenge, r challenge.Round, readers []int64) (req shortlist.Request, err error) {
	req.Readers, req.PerEntry = readers, perEntry(r, len(readers))
	if req.Excluded, err = excluded(ctx, q, c.ID); err != nil {
		return req, err
	}
	if r.State == challenge.Planned {
		req.Entries, err = goesIn(ctx, q, c, r)
		return req, err
	}
	if req.Entries, err = rows(ctx, q, scanID, `SELECT round_in.dish_id FROM round_in LEFT JOIN entry ON entry.dish_id = round_in.dish_id
		WHERE round_id = ? AND COALESCE(entry.state, 'in') = 'in' ORDER BY place`, r.ID); err != nil {
		return req, err
	}
	req.Done, err = rows(ctx, q, scanPair, `SELECT dish_id, reader_id FROM reading_share WHERE round_id = ?1
		UNION SELECT dish_id, reader_id FROM mark WHERE round_id = ?1 ORDER BY 1, 2`, r.ID)
	return req, err
}

func perEntry(r challenge.Round, readers int) int {
	if r.Params.PerEntry > 0 {
		return min(r.Params.PerEntry, readers)
	}
	return readers
}

// fits refuses a rule that so few readers cannot follow.
func fits(r challenge.Round, readers int) error {
	if r.Params.CutRule().Fits(readers) != nil {
		return challenge.Refuse(challenge.Shut, "", "Strict and lenient readers can be told apart only where at least three readers overlap. Invite more readers, or choose plain means for “%v”.", r.Title)
	}
	return nil
}

// Times are when the steps of a share were marked, in their order.
func (s Share) Times() []time.Time {
	var times []time.Time
	for _, x := range inOrderOfMarks(s.Steps) {
		times = append(times, x.At)
	}
	return times
}
