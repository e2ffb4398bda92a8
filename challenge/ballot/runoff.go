package ballot

import "slices"

// Round is one round of an instant run-off.
type Round struct {
	Counts    []Count `json:"counts"`    // options still in
	Exhausted int     `json:"exhausted"` // ballots that name no option still in
	Out       []int64 `json:"out"`       // who dropped out after it; empty where votes cannot decide
	By        OutBy   `json:"by,omitempty"`
}

// OutBy is what decided who drops out.
type OutBy string

// The tie rule of the run-off, in this order: of several options with the
// fewest votes, the one with fewer votes in the latest earlier round that tells
// them apart drops out; else the one that loses most duels among them, each
// duel decided by all ballots; else all of them drop out together if that changes nothing: their
// votes together are fewer than those of any other option.
const (
	OutByVotes    OutBy = "votes"
	OutByEarlier  OutBy = "earlier-round"
	OutByDuels    OutBy = "duels"
	OutByTogether OutBy = "together"
)

// runoff eliminates options round by round, down to the last one, so that every
// option gets a place. It stops early where votes cannot decide who drops out:
// then the options still in stand level, but for one that already has more than
// half of the votes.
func (r *Result) runoff(s *tallySheet) {
	r.Pairs = s.pairs()
	in := make([]bool, len(s.options))
	for k := range in {
		in[k] = true
	}
	cursor := slices.Clone(s.start[:s.len()])
	var history [][]int
	var places [][]int64 // from the last place up
	for left := len(in); left > 1; {
		votes, exhausted := s.round(cursor, in)
		history = append(history, votes)
		out, by := s.lowest(history, in, r.Pairs)
		round := Round{Counts: s.standing(votes, in), Exhausted: exhausted, By: by}
		if len(out) > 1 {
			r.Level = append(r.Level, s.numbers(out))
		}
		if by == "" {
			r.Rounds = append(r.Rounds, round)
			if top := majority(votes, s.len()-exhausted); top >= 0 {
				in[top] = false
				r.Order = [][]int64{{s.options[top]}}
			}
			break
		}
		round.Out = s.numbers(out)
		r.Rounds = append(r.Rounds, round)
		for _, k := range out {
			in[k] = false
		}
		left -= len(out)
		places = append(places, round.Out)
	}
	r.arrange(s, in, places)
}

// arrange puts the options still in above those that dropped out.
func (r *Result) arrange(s *tallySheet, in []bool, places [][]int64) {
	var rest []int64
	for k, standing := range in {
		if standing {
			rest = append(rest, s.options[k])
		}
	}
	if len(rest) > 0 {
		r.Order = append(r.Order, rest)
	}
	slices.Reverse(places)
	r.Order = append(r.Order, places...)
}

// majority is the option with more than half of the votes, or -1.
func majority(votes []int, of int) int {
	for k, v := range votes {
		if 2*v > of {
			return k
		}
	}
	return -1
}

// round moves every ballot on to its best option still in.
func (s *tallySheet) round(cursor []int32, in []bool) (votes []int, exhausted int) {
	votes = make([]int, len(in))
	for b := range cursor {
		end := s.start[b+1]
		for cursor[b] < end && !in[s.flat[cursor[b]]] {
			cursor[b]++
		}
		if cursor[b] == end {
			exhausted++
		} else {
			votes[s.flat[cursor[b]]]++
		}
	}
	return votes, exhausted
}

func (s *tallySheet) standing(votes []int, in []bool) []Count {
	var c []Count
	for k, v := range votes {
		if in[k] {
			c = append(c, Count{s.options[k], v})
		}
	}
	return c
}

// lowest is who drops out, and by what; by is empty where out is the options
// that votes cannot part.
func (s *tallySheet) lowest(history [][]int, in []bool, pairs [][]int) (out []int, by OutBy) {
	for k := range in {
		if in[k] {
			out = append(out, k)
		}
	}
	by = OutByVotes
	for n := len(history) - 1; n >= 0; n-- {
		if out = fewest(out, func(k int) int { return history[n][k] }); len(out) == 1 {
			return out, by
		}
		by = OutByEarlier
	}
	among := out
	out = fewest(out, func(k int) int { return duels(k, among, pairs) })
	if len(out) == 1 {
		return out, OutByDuels
	}
	if s.harmless(out, history[len(history)-1], in) {
		return out, OutByTogether
	}
	return out, ""
}

// harmless reports whether options can drop out together: whichever goes
// first, its votes cannot lift another of them over an option that stays.
func (s *tallySheet) harmless(out []int, votes []int, in []bool) bool {
	sum, others := 0, false
	for _, k := range out {
		sum += votes[k]
	}
	for k := range in {
		if in[k] && !slices.Contains(out, k) {
			if others = true; votes[k] <= sum {
				return false
			}
		}
	}
	return others
}

func fewest(options []int, of func(int) int) []int {
	var least []int
	for _, k := range options {
		switch {
		case len(least) == 0 || of(k) < of(least[0]):
			least = []int{k}
		case of(k) == of(least[0]):
			least = append(least, k)
		}
	}
	return least
}

// duels is duels won less duels lost against the others.
func duels(k int, among []int, pairs [][]int) int {
	n := 0
	for _, other := range among {
		if pairs[k][other] > pairs[other][k] {
			n++
		} else if pairs[k][other] < pairs[other][k] {
			n--
		}
	}
	return n
}
