package views

import (
	"context"
	"fmt"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
)

type RoundsPage struct {
	Frame     Frame
	Base      string
	Challenge challenge.Challenge
	Messages  Messages
	At        string // position of the round the messages belong to
	Back      bool   // the form stands on the page of its round, and leads back there
}

func (p RoundsPage) messages(r challenge.Round) Messages {
	if fmt.Sprint(r.Position) == p.At {
		return p.Messages
	}
	return nil
}

func (p RoundsPage) local(at time.Time) string {
	if at.IsZero() {
		return ""
	}
	return at.In(p.Challenge.Location()).Format("2006-01-02T15:04")
}

func joinInts(ns []int) string {
	return strings.Trim(strings.ReplaceAll(fmt.Sprint(ns), " ", ", "), "[]")
}

func kindName(k challenge.Kind) string {
	return map[challenge.Kind]string{challenge.Reading: "Reading", challenge.Pick: "Pick", challenge.Draw: "Draw",
		challenge.Cook: "Cooking", challenge.Tasting: "Tasting", challenge.Vote: "Audience vote"}[k]
}

func ruleName(ctx context.Context, k tasting.Kind) string {
	return t(ctx, map[tasting.Kind]string{
		tasting.WeightedMean: "Mean of the judges' weighted scores",
		tasting.TrimmedMean:  "The same, without the highest and lowest of them",
		tasting.Standardised: "Each judge's scores brought to one scale first, then the mean",
		tasting.Borda:        "Each judge's order: how many other plates a plate beats",
		tasting.Additive:     "Plates and judges told apart, for panels where not everyone tastes everything",
	}[k])
}

func minutesText(m int) string {
	if m <= 0 {
		return "30"
	}
	return fmt.Sprint(m)
}

// belowChoices are what a host can agree on for a panel that is too small.
var belowChoices = []tasting.Below{tasting.NotesOnly, tasting.StandIns, tasting.Postpone, tasting.ToAudience}
