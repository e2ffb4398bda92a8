package store

import (
	"cmp"
	"context"
	"database/sql"
	"slices"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/shortlist"
)

// A Step is one entry in a reader's own order. One that comes back (Again) is
// marked as if it were new.
type Step struct {
	Dish    Dish
	Mark    string
	Note    string
	Answers []int // to the round's criteria
	Flagged bool  // the reader wants to come back to it
	Again   bool
	At      time.Time // of the mark
	place   int
}

// A Share is what one reader reads in a round, and how far he or she is.
type Share struct {
	Steps   []Step
	Done    int
	Flagged int
	Pace    time.Duration   // the usual time from one mark to the next; 0 until that can be told
	Drift   shortlist.Drift // of entries that came back; Repeats is 0 for none
}

// Share returns the entries that a reader was given, in his or her order.
func (db *DB) Share(ctx context.Context, a challenge.Actor, challengeID, round int64) (s Share, err error) {
	if err := challenge.May(a, challenge.ReadBlind, challengeID); err != nil {
		return s, err
	}
	err = db.read(ctx, func(q querier) error {
		if _, _, err := challengeAndRound(ctx, q, challengeID, round); err != nil {
			return err
		}
		s, err = shareOf(ctx, q, round, readerID(a))
		return err
	})
	return s, err
}

func shareOf(ctx context.Context, q querier, round, reader int64) (Share, error) {
	first, err := rows(ctx, q, scanStep, `SELECT dish.id, dish.kind, COALESCE(entry.number, 0), dish.title, dish.version,
			COALESCE(mark.mark, ''), COALESCE(mark.note, ''), COALESCE(mark.answers, ''), share.flagged, COALESCE(mark.at, 0), share.place
		FROM reading_share AS share JOIN dish ON dish.id = share.dish_id LEFT JOIN entry ON entry.dish_id = dish.id
		LEFT JOIN mark ON mark.round_id = share.round_id AND mark.dish_id = share.dish_id AND mark.reader_id = share.reader_id
		WHERE share.round_id = ? AND share.reader_id = ? AND COALESCE(entry.state, 'in') = 'in' ORDER BY share.place, dish.id`, round, reader)
	if err != nil {
		return Share{}, err
	}
	again, err := rows(ctx, q, scanStep, `SELECT dish.id, dish.kind, COALESCE(entry.number, 0), dish.title, dish.version,
			again.mark, '', '', 0, again.at, again.after
		FROM reading_again AS again JOIN dish ON dish.id = again.dish_id LEFT JOIN entry ON entry.dish_id = dish.id
		WHERE again.round_id = ? AND again.reader_id = ? AND COALESCE(entry.state, 'in') = 'in' ORDER BY again.after, dish.id`, round, reader)
	return newShare(first, again), err
}

func scanStep(r *sql.Rows) (s Step, err error) {
	var at int64
	var answers string
	if err := r.Scan(&s.Dish.ID, &s.Dish.Kind, &s.Dish.Number, &s.Dish.Title, &s.Dish.Version, &s.Mark, &s.Note, &answers, &s.Flagged, &at, &s.place); err != nil {
		return s, err
	}
	s.At = moment(at)
	return s, readAnswers(answers, &s.Answers)
}

// newShare puts what comes back after its place among the rest.
func newShare(first, again []Step) Share {
	var s Share
	var times []time.Time
	for _, x := range first {
		if x.Flagged {
			s.Flagged++
		}
		if x.Mark != "" {
			times = append(times, x.At)
		}
	}
	for i := range again {
		again[i].Again = true
	}
	s.Steps = append(slices.Clone(first), again...)
	slices.SortStableFunc(s.Steps, func(x, y Step) int { return cmp.Compare(x.place, y.place) })
	for _, x := range s.Steps {
		if x.Mark != "" {
			s.Done++
		}
	}
	s.Pace = pace(times)
	s.Drift = shortlist.Compare(asReadings(first), asReadings(again))
	return s
}

func asReadings(steps []Step) []shortlist.Reading {
	var out []shortlist.Reading
	for _, x := range steps {
		if m, err := shortlist.ParseMark(x.Mark); err == nil {
			out = append(out, shortlist.Reading{Entry: x.Dish.ID, Mark: m})
		}
	}
	return out
}

// longestPause is from where on a pause between two marks is no reading time.
const longestPause = 10 * time.Minute

// pace is the median time from one mark to the next, without pauses; 0 where
// fewer than five can be told.
func pace(marked []time.Time) time.Duration {
	marked = slices.SortedFunc(slices.Values(marked), time.Time.Compare)
	var gaps []time.Duration
	for i := 1; i < len(marked); i++ {
		if gap := marked[i].Sub(marked[i-1]); gap > 0 && gap < longestPause {
			gaps = append(gaps, gap)
		}
	}
	if len(gaps) < 5 {
		return 0
	}
	slices.Sort(gaps)
	return gaps[len(gaps)/2]
}

// Find is where a dish stands in the share, -1 for nowhere.
func (s Share) Find(dish int64, again bool) int {
	return slices.IndexFunc(s.Steps, func(x Step) bool { return x.Dish.ID == dish && x.Again == again })
}

// Unmarked is the first step without a mark from a place on, or else before
// it: what was skipped comes round again. ok is false when all are marked.
func (s Share) Unmarked(from int) (next Step, ok bool) {
	for i := range s.Steps {
		if x := s.Steps[(from+i)%len(s.Steps)]; x.Mark == "" {
			return x, true
		}
	}
	return Step{}, false
}

// Left is about how long the rest will take at the pace so far.
func (s Share) Left() time.Duration { return time.Duration(len(s.Steps)-s.Done) * s.Pace }

// ReaderProgress is how far a reader has come in a round.
type ReaderProgress struct {
	Reader  int64
	Name    string
	Done    int
	Total   int
	Flagged int
	Last    time.Time // of the newest mark
}

// Progress says how many of their entries each reader has marked.
func (db *DB) Progress(ctx context.Context, a challenge.Actor, challengeID, round int64) ([]ReaderProgress, error) {
	if err := challenge.May(a, challenge.SeeMarks, challengeID); err != nil {
		return nil, err
	}
	scan := func(r *sql.Rows) (p ReaderProgress, err error) {
		var last int64
		err = r.Scan(&p.Reader, &p.Name, &p.Total, &p.Done, &p.Flagged, &last)
		p.Last = moment(last)
		return p, err
	}
	return rows(ctx, db.reads, scan, `SELECT share.reader_id, COALESCE(person.name, ''), count(*), count(mark.mark), sum(share.flagged), COALESCE(max(mark.at), 0)
		FROM reading_share AS share LEFT JOIN mark ON mark.round_id = share.round_id AND mark.dish_id = share.dish_id AND mark.reader_id = share.reader_id
		LEFT JOIN entry ON entry.dish_id = share.dish_id
		LEFT JOIN participant ON participant.id = share.reader_id LEFT JOIN person ON person.id = participant.person_id
		WHERE share.round_id = ? AND COALESCE(entry.state, 'in') = 'in' GROUP BY share.reader_id ORDER BY share.reader_id`, round)
}
