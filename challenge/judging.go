package challenge

import (
	"slices"
	"strings"

	"fairladle/challenge/tasting"
)

// checkCriteria refuses what judges cannot score by.
func checkCriteria(cs []tasting.Criterion, bad *Refusals) {
	if len(cs) == 0 {
		bad.Add("criteria", "Name at least one thing the judges score, such as taste.")
	}
	for _, c := range cs {
		switch {
		case strings.TrimSpace(c.Name) == "" || c.Weight < 1 || c.Weight > 100:
			bad.Add("criteria", "Each criterion needs a name and a whole-number weight from 1 to 100.")
			return
		case c.Scale.Check() != nil:
			bad.Add("criteria", "The scale of “%v” does not work: it needs a lowest score, a higher highest one, and steps that lead exactly from the one to the other, a thousand at most.", c.Name)
			return
		}
	}
	if tasting.Comparable(cs) != nil {
		bad.Add("criteria", "These scales are too different to be put on one measure; use scales of the same length.")
	}
}

// checkRule refuses a tally rule that cannot work, whatever the criteria are.
func checkRule(r tasting.Rule, bad *Refusals) {
	if !slices.Contains(tasting.Kinds(), r.Kind) {
		bad.Add("rule", "Choose one of the rules in the list.")
	}
	if r.Kind == tasting.TrimmedMean && (r.Trim < 1 || r.Trim > 49) {
		bad.Add("trim", "Say how many per cent of the sheets are left out at each end: a whole number from 1 to 49.")
	}
	switch {
	case !slices.Contains([]tasting.Missing{tasting.Renormalise, tasting.DropSheet, tasting.ByCriterion}, r.Missing):
		bad.Add("missing", "Say what happens where a sheet leaves a criterion out.")
	case r.Missing == tasting.ByCriterion && r.Kind != tasting.WeightedMean:
		bad.Add("missing", "Means criterion by criterion go with the mean of the judges' weighted scores only.")
	}
	if r.SmallestPanel < 1 || r.SmallestPanel > 100 {
		bad.Add("smallest_panel", "Say how many judges must hand in: a number from 1 to 100.")
	}
	if !slices.Contains([]tasting.Below{tasting.StandIns, tasting.Postpone, tasting.ToAudience, tasting.NotesOnly}, r.Below) {
		bad.Add("below", "Say what happens when fewer judges hand in.")
	}
}

// CheckRule refuses a tasting whose ladder names what nobody scores, or whose
// rule leaves everything to an audience that is not asked.
func (c Challenge) CheckRule(r Round) error {
	if r.Kind != Tasting {
		return nil
	}
	var bad Refusals
	checkLadder(r.Params.Rule.TieBreaks, c.Criteria, &bad)
	if r.Params.Rule.Below == tasting.ToAudience && !slices.ContainsFunc(c.Rounds, func(v Round) bool { return v.Kind == Vote && v.Position > r.Position }) {
		bad.Add("below", "No audience vote follows this tasting, so the audience cannot decide. Add a vote after it, or choose another way.")
	}
	return bad.Err()
}

func checkLadder(ladder []tasting.TieBreak, cs []tasting.Criterion, bad *Refusals) {
	for i, b := range ladder {
		key, named := b.Criterion()
		switch {
		case slices.Contains(ladder[:i], b):
			bad.Add("tie", "A tie-break is named twice.")
			return
		case named && !slices.ContainsFunc(cs, func(c tasting.Criterion) bool { return c.Key == key }):
			bad.Add("tie", "A tie-break names a criterion that judges do not score.")
			return
		case !named && b != tasting.HeadToHead && b != tasting.LowestVariance && b != tasting.Draw:
			bad.Add("tie", "Choose one of the tie-breaks in the list.")
			return
		case b == tasting.Draw && i != len(ladder)-1:
			bad.Add("tie", "Nothing can follow a draw: it is the last tie-break.")
			return
		}
	}
}
