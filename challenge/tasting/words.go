package tasting

import (
	"fmt"
	"slices"
	"strings"
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
	first, unscored := v.first(), 0
	for _, p := range v.Places {
		if p.Rank == 0 {
			unscored++
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
		switch {
		case v.Judges == 1:
			say("The one judge put %s first.", name(p.Plate))
		case p.Firsts == v.Judges:
			say("All %s put %s first.", count(v.Judges, "judge"), name(p.Plate))
		default:
			say("%s of %s put %s first.", Number(p.Firsts), count(v.Judges, "judge"), name(p.Plate))
		}
	}
}

func (v Verdict) ties(say func(string, ...any), name func(int64) string) {
	for n, p := range v.Places {
		if p.TieBrokenBy == "" || n+1 >= len(v.Places) || v.Places[n+1].TieBrokenBy == "" {
			continue
		}
		next := v.Places[n+1]
		if next.Rank == p.Rank || !v.sameScore(p, next) {
			continue
		}
		by := p.TieBrokenBy
		if next.TieBrokenBy != Draw && by == Draw {
			by = next.TieBrokenBy
		}
		say("%s and %s have the same score; %s stands higher because %s.",
			name(p.Plate), name(next.Plate), name(p.Plate), by.reason())
	}
	for _, group := range v.NeedsDraw {
		say("%s cannot be told apart by score or tie-break: a recorded draw decides their order.", joined(group, name))
	}
}

func (v Verdict) sameScore(p, q Place) bool {
	return score{exact: p.Exact, value: p.Score}.same(score{exact: q.Exact, value: q.Score})
}

func (b TieBreak) reason() string {
	if key, named := b.Criterion(); named {
		return fmt.Sprintf("its mean on %q is higher", key)
	}
	switch b {
	case HeadToHead:
		return "more of the judges who tasted both preferred it"
	case LowestVariance:
		return "the judges differed less about it"
	}
	return "the recorded draw put it there"
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
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
