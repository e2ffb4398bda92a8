package tasting

import (
	"fmt"
	"strings"
)

// Sentences state a locked rule in plain words, for the page that publishes it
// before the first sheet.
func (r Rule) Sentences(criteria []Criterion) []string {
	words := []string{markWords(criteria), kindSentences[r.Kind]}
	if r.Kind == TrimmedMean {
		words[1] = fmt.Sprintf(words[1], r.Trim, r.Trim)
	}
	if len(criteria) > 1 {
		words = append(words, missingSentences[r.Missing])
	}
	words = append(words, "A plate that nobody scored gets no place and changes nothing for the others.")
	words = append(words, r.ladderWords(criteria))
	if r.SmallestPanel > 1 {
		words = append(words, fmt.Sprintf("If fewer than %s judges hand in, %s.", Number(r.SmallestPanel), belowClauses[r.Below]))
	}
	return words
}

func markWords(criteria []Criterion) string {
	if len(criteria) == 1 {
		return fmt.Sprintf("Judges score one thing: %s.", criteria[0].Name)
	}
	var parts []string
	for _, c := range criteria {
		parts = append(parts, fmt.Sprintf("%s counts %d", c.Name, c.Weight))
	}
	text := "The mark of a sheet is the weighted mean of its scores: " + strings.Join(parts, ", ") + "."
	if ruler, err := newRuler(criteria); err == nil && !ruler.shared {
		text += " The scales differ in length, so each score first becomes its share of its scale, from 0 to 100 per cent."
	}
	return text
}

var kindSentences = map[Kind]string{
	WeightedMean: "A plate's score is the mean of the marks on its sheets.",
	TrimmedMean:  "A plate's score is the mean of the marks on its sheets without the highest %d and the lowest %d per cent of them, rounded down to whole sheets.",
	Standardised: "Each judge's marks are measured from that judge's own mean in that judge's own spread, so that strict and lenient judges, and those who use little or much of the scale, count alike; a plate's score is the mean of these. A judge who marks all plates the same counts nothing for or against any of them.",
	Borda:        "Only each judge's order counts: a plate gets the share of the judge's other plates that stand below it, a tie counting half, and its score is the mean of these.",
	Additive:     "A plate's score is what an average judge would have given it: how strict each judge is, is worked out by least squares from the plates that judges have in common. If no judge links two groups of plates, there is no verdict.",
}

var missingSentences = map[Missing]string{
	Renormalise: "Where a sheet leaves a criterion out, the others make its mark in the same proportions.",
	DropSheet:   "A sheet that leaves a criterion out does not count.",
	ByCriterion: "The mean is taken criterion by criterion, over the sheets that score it, and then weighted; where nobody scored a criterion of a plate, the others count in the same proportions.",
}

var belowClauses = map[Below]string{
	StandIns:   "stand-ins at the table may score",
	Postpone:   "the tasting is postponed",
	ToAudience: "the audience decides alone",
	NotesOnly:  "the tasting notes are published without a verdict",
}

func (r Rule) ladderWords(criteria []Criterion) string {
	if len(r.TieBreaks) == 0 {
		return "Plates with the same score share their place."
	}
	var steps []string
	for _, b := range r.TieBreaks {
		steps = append(steps, b.words(criteria))
	}
	text := "Of plates with the same score, the higher place goes to the one " + strings.Join(steps, "; if that does not part them, to the one ")
	if r.TieBreaks[len(r.TieBreaks)-1] != Draw {
		text += "; if nothing parts them, they share their place"
	}
	return text + "."
}

func (b TieBreak) words(criteria []Criterion) string {
	if key, named := b.Criterion(); named {
		for _, c := range criteria {
			if c.Key == key {
				key = c.Name
			}
		}
		return fmt.Sprintf("with the higher mean for %q", key)
	}
	switch b {
	case HeadToHead:
		return "that wins more duels among them, each duel going to the plate that more of the judges who tasted both marked higher"
	case LowestVariance:
		return "on which the judges differ less (variance of the marks; not where one of them has a single sheet)"
	}
	return "that a recorded draw puts first"
}
