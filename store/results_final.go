package store

import (
	"slices"

	"fairladle/challenge/ballot"
	"fairladle/challenge/tasting"
)

// final is what stands after the vote, by the rule that was locked with it, or
// after the verdict where there is no vote. Without a verdict the audience's
// order stands, whatever the rule.
func (d disclosure) final(x *Results) error {
	if !x.Shows.Final {
		return nil
	}
	byDish := map[int64]PublicDish{}
	judges, audience := judgesOrder(x.Verdicts, byDish), [][]int64(nil)
	x.FinalRule = ballot.FinalRule{Say: ballot.SayJudges}
	if len(x.Votes) > 0 {
		v := x.Votes[len(x.Votes)-1]
		for _, c := range v.Counts {
			byDish[c.Dish.ID] = c.Dish
		}
		audience, x.FinalRule = v.Result.Order, v.Round.Params.FinalSay()
		if !common(judges, audience) {
			x.FinalRule = ballot.FinalRule{Say: ballot.SayAudience}
		}
	}
	if len(judges) == 0 && len(audience) == 0 {
		return nil
	}
	final, err := ballot.Decide(x.FinalRule, judges, audience)
	if err != nil {
		return err
	}
	x.Standings = final.Standings
	for _, group := range final.Order {
		level := make([]PublicDish, len(group))
		for i, id := range group {
			level[i] = byDish[id]
		}
		x.Final = append(x.Final, level)
	}
	return nil
}

// judgesOrder is the last verdict as an order of dishes, each by its best
// plate; none where it ranks nothing.
func judgesOrder(verdicts []PublicVerdict, byDish map[int64]PublicDish) (order [][]int64) {
	if len(verdicts) == 0 || verdicts[len(verdicts)-1].Outcome != tasting.Ranked {
		return nil
	}
	rank := 0
	for _, p := range verdicts[len(verdicts)-1].Places {
		if p.Rank == 0 || byDish[p.Dish.ID].ID != 0 {
			continue
		}
		byDish[p.Dish.ID] = p.Dish
		if p.Rank != rank {
			order, rank = append(order, nil), p.Rank
		}
		order[len(order)-1] = append(order[len(order)-1], p.Dish.ID)
	}
	return order
}

// common says whether two orders have a dish in common.
func common(a, b [][]int64) bool {
	all := slices.Concat(b...)
	return slices.ContainsFunc(slices.Concat(a...), func(dish int64) bool { return slices.Contains(all, dish) })
}
