package tasting

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// PlateNumber names a plate by its number: "plate 417".
func PlateNumber(plate int64) string { return fmt.Sprintf("plate %d", plate) }

// Sentences tells the verdict in plain words; name says how to call a plate in
// the middle of a sentence.
func (v Verdict) Sentences(name func(int64) string) []string {
	var words []string
	say := func(format string, a ...any) { words = append(words, capital(fmt.Sprintf(format, a...))) }
	switch v.Outcome {
	case NoSheets:
		say("No sheet counts, so there is no verdict.")
	case TooFew:
		say("%s handed in, and the rules ask for at least %s, so the judges give no verdict.",
			count(v.Judges, "judge"), Number(v.Rule.SmallestPanel))
		say("%s", belowWords[v.Below])
	case NotComparable:
		say("The plates fall into groups that no judge tasted across, so nobody can say how one group compares with the other: there is no verdict by this rule.")
		say("One judge who tastes a plate of each group would link them.")
	case Ranked:
		v.podium(say, name)
		v.ties(say, name)
	}
	if n := len(v.LeftOut); n > 0 {
		say("%s not counted; the list says why.", was(n, "sheet"))
	}
	return words
}

var belowWords = map[Below]string{
	"":         "The rules do not say what happens now: the host decides and gives a reason.",
	StandIns:   "By the rules, stand-ins at the table may score now.",
	Postpone:   "By the rules, the tasting is postponed.",
	ToAudience: "By the rules, the audience decides alone.",
	NotesOnly:  "By the rules, the tasting notes are published without a verdict.",
}

func (v Verdict) podium(say func(string, ...any), name func(int64) string) {
	first, unscored, alone := v.first(), 0, 0
	for _, p := range v.Places {
		switch {
		case p.Rank == 0 && p.Sheets == 0:
			unscored++
		case p.Rank == 0:
			alone++
		}
	}
	switch {
	case len(first) == 1:
		say("%s came first.", name(first[0]))
	case len(first) > 1:
		say("%s share the first place.", joined(first, name))
	}
	v.firstsWords(say, name)
	if unscored > 0 {
		say("%s not ranked, because no sheet scores %s.", was(unscored, "plate"), pronoun(unscored))
	}
	if alone > 0 {
		say("%s not ranked, because nobody tasted %s beside another plate.", was(alone, "plate"), pronoun(alone))
	}
}

// firstsWords tells who put what first. With more than a handful of plates only
// the three that most judges put first are named.
func (v Verdict) firstsWords(say func(string, ...any), name func(int64) string) {
	var favourites []Place
	for _, p := range v.Places {
		if p.Firsts > 0 && p.Rank > 0 {
			favourites = append(favourites, p)
		}
	}
	slices.SortStableFunc(favourites, func(p, q Place) int { return q.Firsts - p.Firsts })
	for _, p := range favourites[:min(3, len(favourites))] {
		level := ""
		if p.LevelFirsts > 0 {
			level = fmt.Sprintf(", and %s more put it level with another", Number(p.LevelFirsts))
		}
		switch {
		case v.Judges == 1:
			say("The one judge put %s first.", name(p.Plate))
		case p.Firsts == v.Judges:
			say("All %s put %s first.", count(v.Judges, "judge"), name(p.Plate))
		default:
			say("%s of %s put %s first%s.", Number(p.Firsts), count(v.Judges, "judge"), name(p.Plate), level)
		}
	}
}

// told is how many ties the sentences name; with many plates the list of places
// says the rest.
const told = 3

func (v Verdict) ties(say func(string, ...any), name func(int64) string) {
	parted := 0
	for n := 1; n < len(v.Places); n++ {
		above, p := v.Places[n-1], v.Places[n]
		if p.Rank == 0 || p.Rank == above.Rank || !above.level(p) {
			continue
		}
		if parted++; parted <= told {
			say("%s and %s have the same score; %s stands higher because %s.",
				name(above.Plate), name(p.Plate), name(above.Plate), v.because(above, p.TieBrokenBy))
		}
	}
	if parted > told {
		say("Further plates with the same score were parted in %s more cases; the list of places says how.", Number(parted-told))
	}
	for n, group := range v.NeedsDraw {
		if n == told {
			say("%s more groups of plates wait for a draw as well.", Number(len(v.NeedsDraw)-told))
			break
		}
		say("%s cannot be told apart by score or tie-break: a recorded draw decides their order.", joined(group, name))
	}
}

// because says why a plate stands above the next one with the same score.
func (v Verdict) because(p Place, by TieBreak) string {
	if key, named := by.Criterion(); named {
		for _, m := range p.Criteria {
			if m.Key == key && m.Name != "" {
				key = m.Name
			}
		}
		return fmt.Sprintf("its mean for %q is higher", key)
	}
	switch by {
	case HeadToHead:
		if v.sharing(p) > 2 {
			return "it wins more of the duels among the plates with this score"
		}
		return "more of the judges who tasted both preferred it"
	case LowestVariance:
		return "the judges differed less about it"
	}
	return "the recorded draw put it there"
}

// sharing is how many ranked places have the score of p.
func (v Verdict) sharing(p Place) int {
	n := 0
	for _, q := range v.Places {
		if q.Rank > 0 && q.level(p) {
			n++
		}
	}
	return n
}

// Number writes whole numbers up to twelve as words.
func Number(n int) string {
	small := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if n >= 0 && n < len(small) {
		return small[n]
	}
	return fmt.Sprint(n)
}

func count(n int, noun string) string {
	if n == 1 {
		return "one " + noun
	}
	return Number(n) + " " + noun + "s"
}

func was(n int, noun string) string {
	if n == 1 {
		return "one " + noun + " is"
	}
	return Number(n) + " " + noun + "s are"
}

func pronoun(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}

func joined(plates []int64, name func(int64) string) string {
	var names []string
	for _, p := range plates {
		names = append(names, name(p))
	}
	last := len(names) - 1
	if last <= 0 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

func capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[size:]
}
