package views

import (
	"context"
	"strconv"

	"fairladle/challenge"
	"fairladle/challenge/likeness"
	"fairladle/store"
)

type PickPage struct {
	Frame       Frame
	Base        string
	Desk        string
	Round       challenge.Round
	Role        challenge.Role
	Sealed      bool
	SealedAt    string
	MayPick     bool
	Lines       []PickLine
	Chosen      int
	Want        int
	Plan        store.PickPlan
	MayPlan     bool
	StandIns    []store.Participant
	Due         string
	StandIn     int64
	Corrections []store.Correction
	Messages    Messages
}

type PickLine struct {
	Dish   store.Dish
	Chosen bool
	Held   bool
	Reason string
	Near   int           // number of the recipe most like it, 0 for none
	Like   float64       // 0 to 1
	Effort *store.Effort // nil where the list does not tell it
}

// worthSaying is the likeness from which a line names its nearest: below it
// two recipes share little more than salt and oil.
const worthSaying = .05

// open says whether choices are taken from the asker.
func (p PickPage) open() bool {
	return p.MayPick && !p.Sealed && p.Round.State == challenge.UnderWay
}

// lines are those that are held back, or those that are not.
func (p PickPage) lines(held bool) []PickLine {
	var ls []PickLine
	for _, l := range p.Lines {
		if l.Held == held {
			ls = append(ls, l)
		}
	}
	return ls
}

// Finalists are the lines chosen so far.
func (p PickPage) Finalists() []PickLine {
	var ls []PickLine
	for _, l := range p.Lines {
		if l.Chosen {
			ls = append(ls, l)
		}
	}
	return ls
}

// ReasonField is the field of the sentence why, beside the seal.
func (l PickLine) ReasonField() string { return "reason-" + strconv.FormatInt(l.Dish.ID, 10) }

// alike says how much the shortlist repeats itself.
func (p PickPage) alike(ctx context.Context) string {
	most := PickLine{}
	for _, l := range p.Lines {
		if l.Like > most.Like {
			most = l
		}
	}
	switch {
	case most.Near == 0:
		return ""
	case most.Like >= likeness.Alike:
		return t(ctx, "No. %v and No. %v are much alike: %v in 100 of what they say is the same.", most.Dish.Number, most.Near, inHundred(most.Like))
	}
	return t(ctx, "No two are much alike. Closest are No. %v and No. %v: %v in 100 of what they say is the same.", most.Dish.Number, most.Near, inHundred(most.Like))
}

type PickEntryPage struct {
	Frame    Frame
	Base     string
	Recipe   store.Recipe
	Reading  Reading
	Effort   store.Effort
	Answers  []store.Question
	Line     PickLine
	Others   []PickLine
	Sealed   bool
	Chosen   int
	Want     int
	Previous int
	NextOne  int
	Position int
	Total    int
	Messages Messages
}

// besideNumber is what the recipe is compared with first: the one most like
// it, or else its neighbour.
func (p PickEntryPage) besideNumber() int {
	switch {
	case p.Line.Near > 0:
		return p.Line.Near
	case p.NextOne > 0:
		return p.NextOne
	}
	return p.Previous
}

type ComparePage struct {
	Frame  Frame
	List   PickPage
	Sides  [2]CompareSide
	Sealed bool
}

type CompareSide struct {
	Line    PickLine
	Recipe  store.Recipe
	Reading Reading
	Effort  store.Effort
}
