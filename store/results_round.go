package store

import (
	"cmp"
	"slices"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
	"fairladle/challenge/wording"
)

// A PublicVerdict is the outcome of a tasting. It names no judge, and holds no
// single sheet.
type PublicVerdict struct {
	Round     challenge.Round
	Criteria  []tasting.Criterion
	Outcome   tasting.Outcome
	Unit      tasting.Unit
	Judges    int
	Places    []PublicPlace
	Sentences []wording.Sentence
	Caution   wording.Sentence   // what the plates do not let anybody tell
	Home      wording.Sentence   // who scored what they cooked themselves
	Host      []Quote            // what the host tasted; no scores
	Details   []wording.Sentence // how sure it is
	Tie       bool               // a recorded draw settled a tie
	Quotes    []Quote
	Amended   int // sheets changed after they were sealed
}

// A PublicPlace is where a plate stands. Rank 0 means none.
type PublicPlace struct {
	tasting.Place
	Dish PublicDish
	Cook string
}

// A Quote is a comment whose judge agreed to be quoted.
type Quote struct {
	Dish      PublicDish
	By        string // as the judge chose; empty for "a judge"
	Criterion string
	Text      string
}

// verdicts tells the tastings: scores of the finalists' plates and of house
// dishes, and of no others unless the host opened them all.
func (d disclosure) verdicts(x *Results) error {
	for _, r := range d.shown(challenge.Tasting) {
		v, err := d.verdict(r, d.scored(*x))
		if err != nil {
			return err
		}
		x.Verdicts = append(x.Verdicts, v)
	}
	return nil
}

// scored are the finalists, or nothing to go by where the host opened every
// score.
func (d disclosure) scored(x Results) []PublicDish {
	if x.Added.OpenScores {
		return nil
	}
	return x.Finalists
}

func (d disclosure) verdict(r challenge.Round, finalists []PublicDish) (PublicVerdict, error) {
	rec, plates, err := tastingRecord(d.ctx, d.q, r.ID)
	if err != nil {
		return PublicVerdict{}, err
	}
	v := PublicVerdict{Round: r, Criteria: rec.Criteria, Outcome: rec.Verdict.Outcome, Unit: rec.Verdict.Unit,
		Judges: rec.Verdict.Judges, Tie: len(rec.Draw) > 0}
	var ids []int64
	for _, p := range rec.Verdict.Places {
		ids = append(ids, plates[p.Plate].Dish.ID)
	}
	dishes, err := d.dishes(ids)
	if err != nil {
		return v, err
	}
	onPlate := map[int64]PublicDish{}
	for i, p := range rec.Verdict.Places {
		dish := dishes[i]
		onPlate[p.Plate] = dish
		if isFinalist(dish, finalists) {
			v.Places = append(v.Places, PublicPlace{p, dish, plates[p.Plate].Cook})
		}
	}
	name := func(plate int64) any { return spoken(onPlate[plate]) }
	v.Caution, v.Home = rec.caution(plates), rec.atHome()
	for _, n := range rec.HostNotes {
		if dish, served := onPlate[n.Plate]; served && n.Public && isFinalist(dish, finalists) {
			v.Host = append(v.Host, Quote{Dish: dish, Text: n.Note})
		}
	}
	v.Sentences, v.Details = rec.Verdict.Sentences(name), rec.Certainty.Sentences(rec.Verdict, name)
	people, err := participants(d.ctx, d.q, d.challenge.ID)
	v.Quotes = quotes(rec, onPlate, finalists, people)
	for _, s := range rec.Sheets {
		v.Amended += min(1, len(s.Amended))
	}
	return v, err
}

// isFinalist says whether a dish's scores are published. Where no round chose
// finalists, everything tasted is one.
func isFinalist(d PublicDish, finalists []PublicDish) bool {
	return d.House() || len(finalists) == 0 || slices.ContainsFunc(finalists, func(f PublicDish) bool { return f.ID == d.ID })
}

// spoken is how a dish is called in the middle of a sentence.
func spoken(d PublicDish) wording.Sentence {
	switch {
	case d.House():
		return wording.Of("the house dish “%v”", d.Title)
	case d.Title == "":
		return wording.Of("No. %v", d.Number)
	}
	return wording.Of("“%v” (No. %v)", d.Title, d.Number)
}

// quotes collects what may be quoted. The order says nothing about who wrote
// what.
func quotes(rec TastingRecord, onPlate map[int64]PublicDish, finalists []PublicDish, people []Participant) []Quote {
	by := map[int64]string{}
	for _, p := range people {
		by[p.ID] = p.Credit
	}
	var qs []Quote
	for _, s := range rec.Sheets {
		for _, c := range rec.Criteria {
			said := s.Answers.Comments[c.Key]
			if said.Quotable && said.Text != "" && isFinalist(onPlate[s.Plate], finalists) {
				qs = append(qs, Quote{onPlate[s.Plate], by[s.Judge], c.Name, said.Text})
			}
		}
	}
	slices.SortFunc(qs, func(a, b Quote) int {
		return cmp.Or(cmp.Compare(a.Dish.ID, b.Dish.ID), cmp.Compare(a.Text, b.Text), cmp.Compare(a.Criterion, b.Criterion))
	})
	return qs
}
