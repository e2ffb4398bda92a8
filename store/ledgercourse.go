package store

import (
	"bytes"
	"database/sql"
	"encoding/json"

	"fairladle/challenge"
	"fairladle/challenge/draw"
)

// A keptCourse is a draw or a rehearsal as it lies in the database.
type keptCourse struct {
	leaf         int64
	plan, roster []byte // no roster: it is made up
	record       []byte // of a finished rehearsal
}

func scanKeptCourse(r *sql.Rows) (x keptCourse, err error) {
	return x, r.Scan(&x.leaf, &x.plan, &x.roster, &x.record)
}

// draws compares each fixed list and plan, and each event of a draw, with the
// leaves that recorded them.
func (k checking) draws() error {
	return k.courses("the draw",
		`SELECT draw.leaf, draw.plan, draw.roster, NULL FROM draw JOIN round ON round.id = draw.round_id
			WHERE round.challenge_id = ? AND draw.leaf >= 0 ORDER BY draw.leaf`,
		`SELECT draw_event.leaf, draw.plan, draw_event.event FROM draw_event JOIN draw ON draw.round_id = draw_event.round_id
			JOIN round ON round.id = draw.round_id WHERE round.challenge_id = ? ORDER BY draw_event.leaf`)
}

// rehearsals does the same for rehearsals, whose records are kept as well.
func (k checking) rehearsals() error {
	return k.courses("the rehearsal",
		`SELECT leaf, plan, NULL, record FROM rehearsal WHERE challenge_id = ? ORDER BY number`,
		`SELECT rehearsal_event.leaf, rehearsal.plan, rehearsal_event.event FROM rehearsal JOIN rehearsal_event ON rehearsal_event.rehearsal_id = rehearsal.id
			WHERE rehearsal.challenge_id = ? ORDER BY rehearsal_event.leaf`)
}

func (k checking) courses(what, fixed, events string) error {
	all, err := rows(k.ctx, k.q, scanKeptCourse, fixed, k.id)
	if err != nil {
		return err
	}
	for _, x := range all {
		k.expect(x.leaf, x.fixedAs, "the stored list or plan of "+what+" is not what was fixed")
		if x.record != nil {
			k.expect(x.leaf, func([]byte) bool { return x.recordHolds() }, "the stored record of "+what+" does not hold")
		}
	}
	return k.events(what, events)
}

// fixedAs says whether the stored plan and list are those of a leaf.
func (x keptCourse) fixedAs(body []byte) bool {
	var plan draw.Plan
	if json.Unmarshal(x.plan, &plan) != nil {
		return false
	}
	roster := draw.RehearsalRoster(plan.Roster.Entries)
	if x.roster != nil {
		roster = nil
		if json.Unmarshal(x.roster, &roster) != nil {
			return false
		}
	}
	want, err := draw.FrozenBody(plan)
	return err == nil && plan.Rehearsal == (x.roster == nil) && roster.Extent() == plan.Roster && bytes.Equal(want, body)
}

// recordHolds says whether a finished rehearsal's record verifies and is of
// its plan.
func (x keptCourse) recordHolds() bool {
	report := draw.Verify(x.record, draw.Options{})
	var plan draw.Plan
	if !report.Holds() || json.Unmarshal(x.plan, &plan) != nil {
		return false
	}
	want, err := draw.FrozenBody(plan)
	have, err2 := draw.FrozenBody(report.Record.Plan)
	return err == nil && err2 == nil && bytes.Equal(want, have)
}

func (k checking) events(what, query string) error {
	type stored struct {
		leaf        int64
		plan, event []byte
	}
	scan := func(r *sql.Rows) (s stored, err error) { return s, r.Scan(&s.leaf, &s.plan, &s.event) }
	all, err := rows(k.ctx, k.q, scan, query, k.id)
	for _, s := range all {
		k.expect(s.leaf, func(body []byte) bool {
			var plan draw.Plan
			var e draw.Event
			if json.Unmarshal(s.plan, &plan) != nil || json.Unmarshal(s.event, &e) != nil {
				return false
			}
			want, err := draw.EventBody(plan.Draw, e)
			return err == nil && bytes.Equal(want, body)
		}, "the stored event of "+what+" is not what was recorded")
	}
	return err
}

// records compares each closed round's record with the leaf that closed it,
// and with the erasures that shortened it since. A round that was opened again
// has a record for each time it was closed.
func (k checking) records() error {
	type closed struct {
		position int
		document []byte
	}
	scan := func(r *sql.Rows) (c closed, err error) { return c, r.Scan(&c.position, &c.document) }
	all, err := rows(k.ctx, k.q, scan, `SELECT position, document FROM (
			SELECT position, round_reopened.document, round_reopened.id AS turn FROM round_reopened JOIN round ON round.id = round_id WHERE challenge_id = ?1
			UNION ALL SELECT position, document, 9e18 FROM round WHERE challenge_id = ?1 AND state = 'closed') ORDER BY position, turn`, k.id)
	byPosition := map[int][][]byte{}
	for _, c := range all {
		byPosition[c.position] = append(byPosition[c.position], c.document)
	}
	shortened := shortenings(k.leaves)
	for _, l := range k.leaves {
		if l.Kind != challenge.EventRoundClosed {
			continue
		}
		var document []byte
		if records := byPosition[l.Round]; len(records) > 0 {
			document, byPosition[l.Round] = records[0], records[1:]
		}
		k.expect(l.Seq, func(body []byte) bool {
			var e struct{ Detail struct{ Document string } }
			return json.Unmarshal(body, &e) == nil && shortened.lead(l.Round, e.Detail.Document) == hexSum(document)
		}, "the stored record of the round is not what was closed")
	}
	return err
}
