package tasting

import "fairladle/challenge/wording"

// Sentences state a locked rule in plain words, for the page that publishes it
// before the first sheet.
func (r Rule) Sentences(criteria []Criterion) []wording.Sentence {
	var t teller
	markWords(&t, criteria)
	if r.Kind == TrimmedMean {
		t.say("A plate's score is the mean of the marks on its sheets without the highest %v and the lowest %v per cent of them, rounded down to whole sheets.", r.Trim, r.Trim)
	} else {
		t.say(kindSentences[r.Kind])
	}
	if len(criteria) > 1 {
		t.say(missingSentences[r.Missing])
	}
	t.say("A plate that nobody scored gets no place and changes nothing for the others.")
	r.ladderWords(&t, criteria)
	if r.SmallestPanel > 1 {
		t.say(belowSentences[r.Below], Number(r.SmallestPanel))
	}
	return t.told
}

func markWords(t *teller, criteria []Criterion) {
	if len(criteria) == 1 {
		t.say("Judges score one thing: %v.", criteria[0].Name)
		return
	}
	var parts wording.List
	for _, c := range criteria {
		parts = append(parts, wording.Of("%v counts %v", c.Name, c.Weight))
	}
	t.say("The mark of a sheet is the weighted mean of its scores: %v.", parts)
	if ruler, err := newRuler(criteria); err == nil && !ruler.shared {
		t.say("The scales differ in length, so each score first becomes its share of its scale, from 0 to 100 per cent.")
	}
}

var kindSentences = map[Kind]string{
	WeightedMean: wording.Key("A plate's score is the mean of the marks on its sheets."),
	Standardised: wording.Key("Each judge's marks are measured from that judge's own mean in that judge's own spread, so that strict and lenient judges, and those who use little or much of the scale, count alike; a plate's score is the mean of these. A judge who marks all plates the same counts nothing for or against any of them."),
	Borda:        wording.Key("Only each judge's order counts: a plate gets the share of the judge's other plates that stand below it, a tie counting half, and its score is the mean of these."),
	Additive:     wording.Key("A plate's score is what an average judge would have given it: how strict each judge is, is worked out by least squares from the plates that judges have in common. If no judge links two groups of plates, there is no verdict."),
}

var missingSentences = map[Missing]string{
	Renormalise: wording.Key("Where a sheet leaves a criterion out, the others make its mark in the same proportions."),
	DropSheet:   wording.Key("A sheet that leaves a criterion out does not count."),
	ByCriterion: wording.Key("The mean is taken criterion by criterion, over the sheets that score it, and then weighted; where nobody scored a criterion of a plate, the others count in the same proportions."),
}

var belowSentences = map[Below]string{
	StandIns:   wording.Key("If fewer than %v judges hand in, stand-ins at the table may score."),
	Postpone:   wording.Key("If fewer than %v judges hand in, the tasting is postponed."),
	ToAudience: wording.Key("If fewer than %v judges hand in, the audience decides alone."),
	NotesOnly:  wording.Key("If fewer than %v judges hand in, the tasting notes are published without a verdict."),
}

func (r Rule) ladderWords(t *teller, criteria []Criterion) {
	if len(r.TieBreaks) == 0 {
		t.say("Plates with the same score share their place.")
		return
	}
	for n, b := range r.TieBreaks {
		if n == 0 {
			t.say("Of plates with the same score, the higher place goes to the one %v.", b.words(criteria))
		} else {
			t.say("If that does not part them, it goes to the one %v.", b.words(criteria))
		}
	}
	if r.TieBreaks[len(r.TieBreaks)-1] != Draw {
		t.say("If nothing parts them, they share their place.")
	}
}

func (b TieBreak) words(criteria []Criterion) wording.Sentence {
	if key, named := b.Criterion(); named {
		for _, c := range criteria {
			if c.Key == key {
				key = c.Name
			}
		}
		return wording.Of("with the higher mean for “%v”", key)
	}
	switch b {
	case HeadToHead:
		return wording.Of("that wins more duels among them, each duel going to the plate that more of the judges who tasted both marked higher")
	case LowestVariance:
		return wording.Of("on which the judges differ less (variance of the marks; not where one of them has a single sheet)")
	}
	return wording.Of("that a recorded draw puts first")
}
