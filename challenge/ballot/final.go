package ballot

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
)

// Say is who has how much say in the final result.
type Say string

// The kinds of say.
const (
	SayJudges   Say = "judges"   // the judges' order stands; the audience's favourite is told apart from it
	SayAudience Say = "audience" // the audience's order stands
	SayWeighted Say = "weighted" // both count, by FinalRule.Audience
)

// FinalRule is locked, in this JSON form, before the vote opens.
type FinalRule struct {
	Say      Say `json:"say"`
	Audience int `json:"audience,omitempty"` // weighted: per cent for the audience, 1 to 99; the judges have the rest
	Level    Say `json:"level,omitempty"`    // weighted: whose order parts what is level, the judges' or the audience's
}

// Check tells what is wrong with a rule, in words for the host.
func (f FinalRule) Check() error {
	switch f.Say {
	case SayJudges, SayAudience:
		if f.Audience != 0 || f.Level != "" {
			return errors.New("shares and ties are set only where judges and audience both count")
		}
		return nil
	case SayWeighted:
		if f.Audience < 1 || f.Audience > 99 {
			return errors.New("the audience's share must be between 1 and 99 per cent")
		}
		if f.Level != SayJudges && f.Level != SayAudience {
			return fmt.Errorf("unknown way to part what is level: %q", string(f.Level))
		}
		return nil
	}
	return fmt.Errorf("unknown rule for the final result: %q", string(f.Say))
}

// Final is the final result.
type Final struct {
	Order     [][]int64  `json:"order"`               // best first; options in one group stand level
	Standings []Standing `json:"standings,omitempty"` // weighted: in the final order
}

// Standing is how an option's final score came about. A side gives an option
// the share of its other options that stand below it, a tie counting half.
type Standing struct {
	Option   int64    `json:"option"`
	Judges   *big.Rat `json:"judges"`
	Audience *big.Rat `json:"audience"`
	Score    *big.Rat `json:"score"` // weighted mean of the two, 0 to 1
}

// ErrSides is returned where the judges and the audience have no option in
// common, or an order names one twice.
var ErrSides = errors.New("judges and audience must have options in common, each of them once")

// Decide joins two orders, best first, options in one group level: the judges'
// (from a verdict) and the audience's (Result.Order). Where the audience voted
// on some of the options only, those stand first, in the joint order, and the
// others follow in the judges' order. Options that only the audience knows are
// level last for the judges. What the rule does not part stays level.
func Decide(f FinalRule, judges, audience [][]int64) (Final, error) {
	if err := f.Check(); err != nil {
		return Final{}, err
	}
	if twice(judges) || twice(audience) || len(slices.Concat(audience...)) == 0 && f.Say != SayJudges {
		return Final{}, ErrSides
	}
	switch f.Say {
	case SayJudges:
		return Final{Order: judges}, nil
	case SayAudience:
		return Final{Order: slices.Concat(audience, without(judges, audience))}, nil
	}
	return f.weigh(judges, audience)
}

func (f FinalRule) weigh(judges, audience [][]int64) (Final, error) {
	contested := slices.Sorted(slices.Values(slices.Concat(audience...)))
	mine := only(judges, contested)
	if len(mine) == 0 {
		return Final{}, ErrSides
	}
	if unknown := without(audience, mine); len(unknown) > 0 {
		mine = append(mine, slices.Concat(unknown...))
	}
	byJudges, byAudience := shares(mine), shares(audience)
	var final Final
	for _, o := range contested {
		score := new(big.Rat).Mul(byAudience[o], big.NewRat(int64(f.Audience), 100))
		score.Add(score, new(big.Rat).Mul(byJudges[o], big.NewRat(int64(100-f.Audience), 100)))
		final.Standings = append(final.Standings, Standing{o, byJudges[o], byAudience[o], score})
	}
	side := map[Say]map[int64]*big.Rat{SayJudges: byJudges, SayAudience: byAudience}[f.Level]
	better := func(a, b Standing) int {
		if c := b.Score.Cmp(a.Score); c != 0 {
			return c
		}
		return side[b.Option].Cmp(side[a.Option])
	}
	slices.SortStableFunc(final.Standings, better)
	for n, s := range final.Standings {
		if n > 0 && better(final.Standings[n-1], s) == 0 {
			final.Order[len(final.Order)-1] = append(final.Order[len(final.Order)-1], s.Option)
		} else {
			final.Order = append(final.Order, []int64{s.Option})
		}
	}
	final.Order = append(final.Order, without(judges, audience)...)
	return final, nil
}

// shares gives each option the share of the others below it; one option alone
// gets all of it.
func shares(order [][]int64) map[int64]*big.Rat {
	n := int64(len(slices.Concat(order...)))
	s := make(map[int64]*big.Rat, n)
	above := int64(0)
	for _, group := range order {
		k := int64(len(group))
		for _, o := range group {
			s[o] = big.NewRat(1, 1)
			if n > 1 {
				s[o] = big.NewRat(2*(n-above-k)+k-1, 2*(n-1))
			}
		}
		above += k
	}
	return s
}

func only(order [][]int64, options []int64) [][]int64 {
	return filter(order, func(o int64) bool { return slices.Contains(options, o) })
}

func without(order, other [][]int64) [][]int64 {
	options := slices.Concat(other...)
	return filter(order, func(o int64) bool { return !slices.Contains(options, o) })
}

func filter(order [][]int64, keep func(int64) bool) [][]int64 {
	var kept [][]int64
	for _, group := range order {
		var g []int64
		for _, o := range group {
			if keep(o) {
				g = append(g, o)
			}
		}
		if len(g) > 0 {
			kept = append(kept, g)
		}
	}
	return kept
}

func twice(order [][]int64) bool {
	all := slices.Sorted(slices.Values(slices.Concat(order...)))
	return len(slices.Compact(slices.Clone(all))) < len(all)
}
