package store

import (
	"context"
	"encoding/json"
	"slices"
	"strconv"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
	"fairladle/challenge/shortlist"
	"fairladle/challenge/wording"
)

// Cut is what closing a reading round now would let through: the ranking by
// marks, with what the host chose by hand laid over it.
type Cut struct {
	Lines     []CutLine
	Chosen    int
	Keep      int
	ByHand    int // how many lines the host moved over the line by hand
	Rule      shortlist.Rule
	Used      shortlist.Kind
	Words     []wording.Sentence
	Unread    int
	Unmoved   int // lines over the line by the marks alone
	Readers   int
	Near      []Dish // worth one more reading, the most useful first
	Strict    []ReaderStrictness
	Instead   *Instead
	Resampled int    // how often the marks were resampled for CutLine.Chance; 0: not at all
	Coverage  []int  // Coverage[n] entries have n readings
	Level     []Dish // level where the places end, waiting for a draw
	Places    int    // how many of Level come in
	Drawing   bool   // that draw has its list
}

// Instead is what the other kind of score would change.
type Instead struct {
	Kind    shortlist.Kind
	In, Out []Dish
}

// ReaderStrictness is how a reader marks compared with the average reader.
type ReaderStrictness struct {
	shortlist.Strictness
	Name string // empty for the host
}

// A CutLine is one entry at the cut.
type CutLine struct {
	shortlist.Line
	Dish   Dish     `json:"-"`
	Label  string   `json:"label"`
	Chosen bool     `json:"chosen"`
	ByHand bool     `json:"by_hand"`
	Why    string   `json:"why,omitempty"` // the host's reason, where it was moved by hand
	Chance float64  `json:"-"`             // of making the cut when the marks are resampled; -1 where it cannot be told
	Notes  []string `json:"notes,omitempty"`
}

// Cut says what closing a reading round now would let through.
func (db *DB) Cut(ctx context.Context, a challenge.Actor, challengeID, round int64) (cut Cut, err error) {
	if err := challenge.May(a, challenge.SeeMarks, challengeID); err != nil {
		return cut, err
	}
	var m material
	err = db.read(ctx, func(q querier) error {
		_, r, err := challengeAndRound(ctx, q, challengeID, round)
		if err != nil {
			return err
		}
		if m, err = cutMaterial(ctx, q, r); err != nil {
			return err
		}
		cut, err = newCut(m)
		return err
	})
	if err == nil {
		err = cut.resample(m)
	}
	return cut, err
}

// material is what a cut is made of.
type material struct {
	round   challenge.Round
	in      []Dish
	marks   []Mark
	choices []Choice
	names   map[int64]string // of readers
	seed    [32]byte
	draw    cutDraw
}

func cutMaterial(ctx context.Context, q querier, r challenge.Round) (m material, err error) {
	m.round = r
	if m.in, err = rows(ctx, q, scanDish, dishSelect+`JOIN round_in ON round_in.dish_id = dish.id
		WHERE round_in.round_id = ? AND COALESCE(entry.state, 'in') = 'in' ORDER BY round_in.place`, r.ID); err != nil {
		return m, err
	}
	if m.marks, err = marksOf(ctx, q, r.ID); err != nil {
		return m, err
	}
	if m.choices, err = choicesOf(ctx, q, r.ID); err != nil {
		return m, err
	}
	if m.draw, err = cutDrawOf(ctx, q, r); err != nil {
		return m, err
	}
	people, err := participants(ctx, q, r.Challenge)
	m.names = map[int64]string{}
	for _, p := range people {
		m.names[p.ID] = p.Name
	}
	if err != nil || r.State == challenge.Planned {
		return m, err
	}
	var seed []byte
	err = q.QueryRowContext(ctx, `SELECT seed FROM reading_plan WHERE round_id = ?`, r.ID).Scan(&seed)
	copy(m.seed[:], seed)
	return m, err
}

func (m material) ids() []int64 {
	ids := make([]int64, len(m.in))
	for i, d := range m.in {
		ids[i] = d.ID
	}
	return ids
}

func (m material) readings() ([]shortlist.Reading, error) {
	rule := m.round.Params.CutRule()
	readings := make([]shortlist.Reading, len(m.marks))
	for i, x := range m.marks {
		mark, err := shortlist.ParseMark(x.Mark)
		if err != nil {
			return nil, err
		}
		readings[i] = shortlist.Reading{Entry: x.Dish, Reader: x.Reader, Mark: mark}
		if _, score, err := rule.Score(x.Answers); err == nil {
			readings[i].Score = &score
		}
	}
	return readings, nil
}

func newCut(m material) (Cut, error) {
	readings, err := m.readings()
	if err != nil {
		return Cut{}, err
	}
	rule := m.round.Params.CutRule()
	list, err := shortlist.Cut(readings, m.ids(), m.round.Params.Keep, rule)
	if err != nil {
		return Cut{}, err
	}
	level, places := list.Undecided, list.Places
	if m.draw.done {
		list = list.Drawn(m.draw.order)
	}
	dishes, notes, readers, choices := map[int64]Dish{}, map[int64][]string{}, map[int64]bool{}, map[int64]Choice{}
	for _, d := range m.in {
		dishes[d.ID] = d
	}
	for _, x := range m.marks {
		readers[x.Reader] = true
		if x.Note != "" {
			notes[x.Dish] = append(notes[x.Dish], x.Note)
		}
	}
	for _, c := range m.choices {
		choices[c.Dish] = c
	}
	cut := Cut{Keep: m.round.Params.Keep, Rule: rule, Used: list.Used, Words: list.Words, Readers: len(readers), Near: pickDishes(dishes, list.Near)}
	for _, l := range list.Lines {
		line := CutLine{Line: l, Dish: dishes[l.Entry], Label: dishes[l.Entry].Label(), Chosen: l.In, Chance: -1, Notes: notes[l.Entry]}
		if c, ok := choices[l.Entry]; ok {
			line.ByHand, line.Chosen, line.Why = c.Chosen != l.In, c.Chosen, c.Reason
		}
		cut.add(line)
	}
	cut.waitForDraw(level, places, choices, dishes, m.draw)
	for _, x := range list.Readers {
		cut.Strict = append(cut.Strict, ReaderStrictness{x, m.names[x.Reader]})
	}
	if i := list.Instead; i != nil {
		cut.Instead = &Instead{i.Kind, pickDishes(dishes, i.In), pickDishes(dishes, i.Out)}
	}
	return cut, nil
}

// waitForDraw notes who waits for the draw at the cut: whom the host moved by
// hand does not, and takes a place where it is on the list.
func (cut *Cut) waitForDraw(level []int64, places int, byHand map[int64]Choice, dishes map[int64]Dish, d cutDraw) {
	cut.Drawing = d.open
	if d.done {
		return
	}
	var ids []int64
	for _, id := range level {
		c, moved := byHand[id]
		if !moved {
			ids = append(ids, id)
		} else if c.Chosen {
			places--
		}
	}
	switch {
	case places <= 0 || len(ids) == 0:
	case len(ids) > places:
		cut.Level, cut.Places = pickDishes(dishes, ids), places
	default: // there is room for all who are left
		for i := range cut.Lines {
			if l := &cut.Lines[i]; slices.Contains(ids, l.Entry) {
				l.In, l.Chosen = true, true
				cut.Chosen++
				cut.Unmoved++
			}
		}
	}
}

func pickDishes(of map[int64]Dish, ids []int64) []Dish {
	var ds []Dish
	for _, id := range ids {
		ds = append(ds, of[id])
	}
	return ds
}

func (cut *Cut) add(l CutLine) {
	if l.ByHand {
		cut.ByHand++
	}
	if l.Chosen {
		cut.Chosen++
	}
	if l.In {
		cut.Unmoved++
	}
	if l.Readings == 0 {
		cut.Unread++
	}
	for len(cut.Coverage) <= l.Readings {
		cut.Coverage = append(cut.Coverage, 0)
	}
	cut.Coverage[l.Readings]++
	cut.Lines = append(cut.Lines, l)
}

// resamplings bounds how many marks are weighed anew for one page, so that a
// page of a very large field is not late.
const resamplings = 5_000_000

// resample says how often each entry would make the cut if readers had marked
// a little differently. It changes nothing where the marks cannot tell.
func (cut *Cut) resample(m material) error {
	readings, err := m.readings()
	if err != nil || len(readings) == 0 {
		return err
	}
	times := min(1000, resamplings/len(readings))
	cs, err := shortlist.Chances(readings, m.ids(), cut.Keep, cut.Rule, times, m.seed)
	if err != nil || len(cs) == 0 {
		return err
	}
	share := make(map[int64]float64, len(cs))
	for _, c := range cs {
		share[c.Entry] = c.Share
	}
	for i := range cut.Lines {
		cut.Lines[i].Chance = share[cut.Lines[i].Entry]
	}
	cut.Resampled = times
	return nil
}

// MoveByHand keeps which entries the host wants on the shortlist. One that is
// moved against the marks needs a reason; where hand and marks agree, nothing
// is kept, so that later marks still count.
func (db *DB) MoveByHand(ctx context.Context, a challenge.Actor, challengeID, round int64, wanted []Choice) error {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		if err := roundUnderWay(ctx, tx, challengeID, round, challenge.Reading, 0); err != nil {
			return err
		}
		if err := beforeTheDraw(ctx, tx, round); err != nil {
			return err
		}
		_, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		m, err := cutMaterial(ctx, tx, r)
		if err != nil {
			return err
		}
		cut, err := newCut(m)
		if err != nil {
			return err
		}
		in := make(map[int64]bool, len(cut.Lines))
		for _, l := range cut.Lines {
			in[l.Entry] = l.In
		}
		var bad challenge.Refusals
		for _, w := range wanted {
			by, known := in[w.Dish]
			switch {
			case !known:
				return challenge.NotFound("This recipe is not part of the round.")
			case len(w.Reason) > maxReason:
				bad.Add(reasonField(w.Dish), "The reason is too long: at most %v characters.", maxReason)
			case w.Chosen != by && strings.TrimSpace(w.Reason) == "":
				bad.Add(reasonField(w.Dish), "The marks say otherwise. Give a reason; it is kept with the record of the round.")
			}
			if err := keepChoice(ctx, tx, round, w, w.Chosen != by); err != nil {
				return err
			}
		}
		return bad.Err()
	})
}

// reasonField is the field of a form that holds the reason for an entry.
func reasonField(dish int64) string { return "reason-" + strconv.FormatInt(dish, 10) }

func keepChoice(ctx context.Context, tx *Tx, round int64, c Choice, against bool) error {
	if !against {
		_, err := tx.ExecContext(ctx, `DELETE FROM choice WHERE round_id = ? AND dish_id = ?`, round, c.Dish)
		return err
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO choice (round_id, dish_id, chosen, reason, at) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (round_id, dish_id) DO UPDATE SET chosen = excluded.chosen, reason = excluded.reason, at = excluded.at`,
		round, c.Dish, c.Chosen, c.Reason, millis(tx.now))
	return err
}

// closeReading lets the chosen entries through. The record holds every mark,
// so that the ledger commits to all of them at once.
func closeReading(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round) ([]byte, []challenge.Placing, error) {
	m, err := cutMaterial(ctx, tx, r)
	if err != nil {
		return nil, nil, err
	}
	cut, err := newCut(m)
	if err != nil {
		return nil, nil, err
	}
	if cut.Chosen == 0 && len(cut.Level) == 0 {
		return nil, nil, challenge.Refuse(challenge.Shut, "", "No recipe is on the shortlist yet. Mark recipes, or choose them by hand, first.")
	}
	drawn, settled, err := settleCut(ctx, tx, c, r, m, cut)
	if err != nil || !settled {
		return nil, nil, err
	}
	document, err := ledger.Canonical(ReadingRecord{cut.Rule, cut.Words, m.marks, cut.Lines, drawn})
	if err != nil {
		return nil, nil, err
	}
	var out []challenge.Placing
	for _, through := range []bool{true, false} {
		for _, l := range cut.Lines {
			if l.Chosen == through {
				out = append(out, challenge.Placing{Dish: l.Entry, Rank: len(out) + 1, Through: through, Note: l.Why})
			}
		}
	}
	return document, out, nil
}

// A ReadingRecord is the document of a closed reading.
type ReadingRecord struct {
	Rule  shortlist.Rule     `json:"rule"`
	Words []wording.Sentence `json:"words"`
	Marks []Mark             `json:"marks"`
	Cut   []CutLine          `json:"cut"`
	Draw  json.RawMessage    `json:"draw,omitempty"` // the record of the draw at the cut, where there was one
}
