package shortlist

import (
	"fmt"

	"fairladle/challenge/wording"
)

// reason says in one sentence what an entry's readers said, and what
// calibration did to it.
func (l Line) reason(kind Kind) wording.Sentence {
	said := l.said()
	switch {
	case l.Readings == 0 || kind != Calibrated:
		return said
	case l.Score-l.Plain >= noticeable:
		return wording.Of("%v Its readers are stricter than the others, so it counts for more.", said)
	case l.Plain-l.Score >= noticeable:
		return wording.Of("%v Its readers are kinder than the others, so it counts for less.", said)
	}
	return said
}

// noticeable is how far calibration must move a score before the reason says so.
const noticeable = .1

// said is what the readers said: all the same, or each of it in turn.
func (l Line) said() wording.Sentence {
	if l.Readings == 0 {
		return wording.Of("Nobody has read it yet.")
	}
	var parts wording.List
	var word wording.Sentence
	for _, p := range []struct {
		n    int
		word wording.Sentence
	}{{l.Keep, wording.Of("keep")}, {l.Maybe, wording.Of("maybe")}, {l.Out, wording.Of("leave out")}} {
		if p.n > 0 {
			word = p.word
			parts = append(parts, wording.Of("%v said %v", p.n, p.word))
		}
	}
	switch {
	case len(parts) > 1:
		return wording.Of("Of %v readers, %v.", l.Readings, parts)
	case l.Readings == 1:
		return wording.Of("The one reader said %v.", word)
	case l.Readings == 2:
		return wording.Of("Both readers said %v.", word)
	}
	return wording.Of("All %v readers said %v.", l.Readings, word)
}

// Words state a locked rule in plain words, a sentence each.
func (r Rule) Words() []wording.Sentence {
	return []wording.Sentence{r.scoreWords(), wording.Of("Of recipes with the same score, more keeps come first, then fewer marks to leave out."), r.cutWords()}
}

func (r Rule) scoreWords() wording.Sentence {
	marks := wording.Of("Leave out counts 0, maybe 1, keep 2.")
	if len(r.Criteria) > 0 {
		marks = wording.Of("Each criterion counts 0, 1 or 2 by its weight (%v), and their mean is the mark.", r.weights())
	}
	if r.Kind == Calibrated {
		return wording.Of("%v A recipe's score is what an average reader would have given it: how strict each reader is, is worked out by least squares from the recipes that readers share. While fewer than three readers overlap, it is the mean of its marks.", marks)
	}
	return wording.Of("%v A recipe's score is the mean of its marks.", marks)
}

func (r Rule) weights() wording.List {
	var ws wording.List
	for _, c := range r.Criteria {
		ws = append(ws, fmt.Sprintf("%s ×%d", c.Name, c.Weight))
	}
	return ws
}

func (r Rule) cutWords() wording.Sentence {
	switch r.AtCut {
	case TakeAll:
		return wording.Of("Those still level where the places end all come in.")
	case TakeNone:
		return wording.Of("Those still level where the places end do not come in.")
	}
	return wording.Of("For those still level where the places end a recorded draw decides.")
}

func (s Shortlist) sentences() []wording.Sentence {
	in, unread := len(s.Chosen()), len(s.Lines)-s.read()
	words := []wording.Sentence{wording.Of("By the marks, %v of %v recipes are on the shortlist.", in, len(s.Lines))}
	say := func(x wording.Sentence) { words = append(words, x) }
	if s.Rule.Kind == Calibrated && s.Used == Plain && s.read() > 0 {
		say(wording.Of("Fewer than three readers share recipes, so strict and lenient ones cannot be told apart: plain means are used."))
	}
	switch {
	case s.Groups > 1 && s.Used == Calibrated:
		say(wording.Of("The readers fall into %v groups that have no recipe in common, so recipes of different groups cannot be compared; every group is taken to be equally good on average. One reader who reads a few recipes of each group would link them.", s.Groups))
	case s.Groups > 1:
		say(wording.Of("The readers fall into %v groups that have no recipe in common, so recipes of different groups cannot be compared: a low mark may come from a strict reader as well as from a weak recipe. One reader who reads a few recipes of each group would link them.", s.Groups))
	}
	if len(s.Undecided) > 0 {
		say(wording.Of("Level where the places end: %v; places left: %v. A recorded draw decides.", len(s.Undecided), s.Places))
	}
	if unread > 0 {
		say(wording.Count(unread, "One recipe has no reading yet and cannot be in by its marks.", "%v recipes have no reading yet and cannot be in by their marks."))
	}
	return words
}
