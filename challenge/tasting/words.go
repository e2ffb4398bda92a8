package tasting

import (
	"slices"

	"fairladle/challenge/wording"
)

// A Namer says how to call a plate in the middle of a sentence: a string, or a
// wording.Sentence.
type Namer func(plate int64) any

// PlateNumber names a plate by its number: "plate 417".
func PlateNumber(plate int64) any { return wording.Of("plate %v", int(plate)) }

// Sentences tells the verdict in plain words.
func (v Verdict) Sentences(name Namer) []wording.Sentence {
	var t teller
	switch v.Outcome {
	case NoSheets:
		t.say("No sheet counts, so there is no verdict.")
	case TooFew:
		t.say("%v handed in, and the rules ask for at least %v, so the judges give no verdict.", judges(v.Judges), Number(v.Rule.SmallestPanel))
		t.say(belowWords[v.Below])
	case NotComparable:
		t.say("The plates fall into groups that no judge tasted across, so nobody can say how one group compares with the other: there is no verdict by this rule.")
		t.say("One judge who tastes a plate of each group would link them.")
	case Ranked:
		v.podium(&t, name)
		v.ties(&t, name)
	}
	t.count(len(v.LeftOut), "One sheet is not counted; the list says why.", "%v sheets are not counted; the list says why.")
	return t.told
}

// A teller collects sentences.
type teller struct{ told []wording.Sentence }

func (t *teller) say(text string, args ...any) { t.told = append(t.told, wording.Of(text, args...)) }

// count says one for 1 and many, which holds a %v for the number, for more;
// nothing for none.
func (t *teller) count(n int, one, many string) {
	switch {
	case n == 1:
		t.say(one)
	case n > 1:
		t.say(many, Number(n))
	}
}

var belowWords = map[Below]string{
	"":         wording.Key("The rules do not say what happens now: the host decides and gives a reason."),
	StandIns:   wording.Key("By the rules, guests at the table could have stood in; too few did."),
	Postpone:   wording.Key("By the rules it was put off to another day, and still too few handed in."),
	ToAudience: wording.Key("By the rules, the audience decides alone."),
	NotesOnly:  wording.Key("By the rules, the tasting notes are published without a verdict."),
}

func (v Verdict) podium(t *teller, name Namer) {
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
		t.say("%v came first.", name(first[0]))
	case len(first) > 1:
		t.say("%v share the first place.", joined(first, name))
	}
	v.firstsWords(t, name)
	t.count(unscored, "One plate is not ranked, because no sheet scores it.", "%v plates are not ranked, because no sheet scores them.")
	t.count(alone, "One plate is not ranked, because nobody tasted it beside another plate.",
		"%v plates are not ranked, because nobody tasted them beside another plate.")
}

// firstsWords tells who put what first. With more than a handful of plates only
// the three that most judges put first are named.
func (v Verdict) firstsWords(t *teller, name Namer) {
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
			t.say("The one judge put %v first.", name(p.Plate))
		case p.Firsts == v.Judges:
			t.say("All %v judges put %v first.", Number(v.Judges), name(p.Plate))
		case p.LevelFirsts > 0:
			t.say("%v of %v judges put %v first, and %v more put it level with another.", Number(p.Firsts), Number(v.Judges), name(p.Plate), Number(p.LevelFirsts))
		default:
			t.say("%v of %v judges put %v first.", Number(p.Firsts), Number(v.Judges), name(p.Plate))
		}
	}
}

// most is how many ties the sentences name; with many plates the list of places
// says the rest.
const most = 3

func (v Verdict) ties(t *teller, name Namer) {
	parted := 0
	for n := 1; n < len(v.Places); n++ {
		above, p := v.Places[n-1], v.Places[n]
		if p.Rank == 0 || p.Rank == above.Rank || !above.level(p) {
			continue
		}
		if parted++; parted <= most {
			t.say("%[1]v and %[2]v have the same score; %[1]v stands higher because %[3]v.", name(above.Plate), name(p.Plate), v.because(above, p.TieBrokenBy))
		}
	}
	if parted > most {
		t.say("Further plates with the same score were parted in %v more cases; the list of places says how.", Number(parted-most))
	}
	for n, group := range v.NeedsDraw {
		if n == most {
			t.say("%v more groups of plates wait for a draw as well.", Number(len(v.NeedsDraw)-most))
			break
		}
		t.say("%v cannot be told apart by score or tie-break: a recorded draw decides their order.", joined(group, name))
	}
}

// because says why a plate stands above the next one with the same score.
func (v Verdict) because(p Place, by TieBreak) wording.Sentence {
	if key, named := by.Criterion(); named {
		for _, m := range p.Criteria {
			if m.Key == key && m.Name != "" {
				key = m.Name
			}
		}
		return wording.Of("its mean for “%v” is higher", key)
	}
	switch {
	case by == HeadToHead && v.sharing(p) > 2:
		return wording.Of("it wins more of the duels among the plates with this score")
	case by == HeadToHead:
		return wording.Of("more of the judges who tasted both preferred it")
	case by == LowestVariance:
		return wording.Of("the judges differed less about it")
	}
	return wording.Of("the recorded draw put it there")
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

var numbers = []string{
	wording.Key("none"), wording.Key("one"), wording.Key("two"), wording.Key("three"), wording.Key("four"), wording.Key("five"), wording.Key("six"),
	wording.Key("seven"), wording.Key("eight"), wording.Key("nine"), wording.Key("ten"), wording.Key("eleven"), wording.Key("twelve"),
}

// Number says whole numbers up to twelve as words.
func Number(n int) any {
	if n >= 0 && n < len(numbers) {
		return wording.Of(numbers[n])
	}
	return n
}

func judges(n int) wording.Sentence {
	if n == 1 {
		return wording.Of("one judge")
	}
	return wording.Of("%v judges", Number(n))
}

func joined(plates []int64, name Namer) any {
	list := make(wording.List, len(plates))
	for n, p := range plates {
		list[n] = name(p)
	}
	return list
}
