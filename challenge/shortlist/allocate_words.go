package shortlist

import "fairladle/challenge/wording"

// sentences tell a host what a plan means.
func (p Plan) sentences(r Request) []wording.Sentence {
	var words []wording.Sentence
	say := func(text string, args ...any) { words = append(words, wording.Of(text, args...)) }
	fewest, most := p.Lists[0].Load, p.Lists[0].Load
	for _, l := range p.Lists {
		fewest, most = min(fewest, l.Load), max(most, l.Load)
	}
	switch {
	case len(p.Lists) == 1:
		words = append(words, wording.Count(most, "The one reader has one recipe.", "The one reader has %v recipes."))
	case fewest == most:
		say("Each of the %v readers has %v recipes.", len(p.Lists), most)
	default:
		say("Each of the %v readers has %v to %v recipes.", len(p.Lists), fewest, most)
	}
	if most-fewest > 1 {
		say("The loads differ because conflicts of interest, or readings already done, leave no other way.")
	}
	if len(p.Short) > 0 {
		words = append(words, wording.Count(len(p.Short), "One recipe cannot get all of its readings, because no reader is left who may read it.",
			"%v recipes cannot get all of their readings, because no reader is left who may read them."))
	}
	switch {
	case len(p.Lists) < 2:
	case !p.Connected:
		say("The readers fall into groups that share no recipe, so their marks cannot be compared: nobody can say who is strict and who is lenient. Two readings for each recipe, or a few recipes that several readers get, would link them.")
	case p.FewestShared == p.MostShared:
		words = append(words, wording.Count(p.MostShared, "Every two readers share one recipe, so that strict and lenient ones can be told apart.",
			"Every two readers share %v recipes, so that strict and lenient ones can be told apart."))
	default:
		say("Every two readers share %v to %v recipes, so that strict and lenient ones can be told apart.", p.FewestShared, p.MostShared)
	}
	return words
}
