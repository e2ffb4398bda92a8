package shortlist

import "fmt"

// sentences tell a host what a plan means.
func (p Plan) sentences(r Request) []string {
	var words []string
	say := func(format string, a ...any) { words = append(words, upper(fmt.Sprintf(format, a...))) }
	fewest, most := p.Lists[0].Load, p.Lists[0].Load
	for _, l := range p.Lists {
		fewest, most = min(fewest, l.Load), max(most, l.Load)
	}
	switch {
	case len(p.Lists) == 1:
		say("The one reader gets %s.", counted(most, "entry"))
	case fewest == most:
		say("each of the %s readers has %s.", number(len(p.Lists)), counted(most, "entry"))
	default:
		say("each of the %s readers has %s to %s.", number(len(p.Lists)), number(fewest), counted(most, "entry"))
	}
	if most-fewest > 1 {
		say("the loads differ because conflicts of interest, or readings already done, leave no other way.")
	}
	if len(p.Short) > 0 {
		say("%s cannot get %s, because no reader is left who may read %s.",
			counted(len(p.Short), "entry"), counted(r.PerEntry, "reading"), verb(len(p.Short), "it", "them"))
	}
	switch {
	case len(p.Lists) < 2:
	case !p.Connected:
		say("the readers fall into groups that share no entry, so nobody can say who is strict and who is lenient; two readings for each entry, or a few entries that several readers get, would link them.")
	case p.FewestShared == p.MostShared:
		say("every two readers share %s, so that strict and lenient ones can be told apart.", counted(p.MostShared, "entry"))
	default:
		say("every two readers share between %s and %s, so that strict and lenient ones can be told apart.",
			number(p.FewestShared), counted(p.MostShared, "entry"))
	}
	return words
}
