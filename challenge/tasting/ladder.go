package tasting

import (
	"math/big"
	"slices"
)

// rank orders the plates by score, parts ties by the ladder, and fills in
// places and the draws that are needed.
func (b *board) rank(v *Verdict, scores []score) {
	var order []int
	for p := range b.plates {
		if scores[p].scored {
			order = append(order, p)
		}
	}
	slices.SortStableFunc(order, func(x, y int) int { return scores[y].cmp(scores[x]) })
	firsts, level := b.firsts()
	for lo := 0; lo < len(order); {
		hi := lo + 1
		for hi < len(order) && scores[order[hi-1]].same(scores[order[hi]]) {
			hi++
		}
		slices.Sort(order[lo:hi]) // rounding must not order what is level
		for _, g := range b.climb(order[lo:hi], v.Rule.TieBreaks) {
			rank := len(v.Places) + 1
			for _, p := range g.plates {
				place := b.place(p, scores[order[lo]])
				place.Rank, place.Tied, place.TieBrokenBy = rank, len(g.plates) > 1, g.by
				place.Firsts, place.LevelFirsts = firsts[p], level[p]
				v.Places = append(v.Places, place)
			}
			if g.draw {
				v.NeedsDraw = append(v.NeedsDraw, b.numbers(g.plates))
			}
		}
		lo = hi
	}
	for p := range b.plates {
		if !scores[p].scored {
			v.Places = append(v.Places, b.place(p, score{}))
		}
	}
}

func (b *board) place(p int, s score) Place {
	return Place{Plate: b.plates[p], Score: s.value, Exact: s.exact, Criteria: b.means(p), Sheets: len(b.of(p))}
}

func (b *board) numbers(plates []int) []int64 {
	ids := make([]int64, len(plates))
	for n, p := range plates {
		ids[n] = b.plates[p]
	}
	return ids
}

// group is plates that share a rank after the ladder.
type group struct {
	plates []int
	path   []int    // on each rung, which part it went into
	by     TieBreak // see Place.TieBrokenBy
	draw   bool
}

// climb takes plates with the same score up the ladder. What a rung parts goes
// on separately, from the next rung.
func (b *board) climb(plates []int, ladder []TieBreak) []group {
	groups := []group{{plates: plates}}
	for _, rung := range ladder {
		var next []group
		for _, g := range groups {
			parts := [][]int{g.plates}
			if len(g.plates) > 1 && rung == Draw {
				g.draw = true
			} else if len(g.plates) > 1 {
				parts = b.part(g.plates, rung)
			}
			for n, part := range parts {
				next = append(next, group{plates: part, path: append(slices.Clone(g.path), n), draw: g.draw})
			}
		}
		groups = next
	}
	for n := 1; n < len(groups); n++ {
		fork := 0
		for groups[n].path[fork] == groups[n-1].path[fork] {
			fork++
		}
		groups[n].by = ladder[fork]
		groups[0].by = groups[1].by
	}
	return groups
}

// part splits plates by one rung, best first; a rung that cannot judge all of
// them parts none.
func (b *board) part(plates []int, rung TieBreak) [][]int {
	key := make(map[int]*big.Rat, len(plates))
	for _, p := range plates {
		var k *big.Rat
		if name, named := rung.Criterion(); named {
			k = b.criterionKey(p, name)
		} else if rung == HeadToHead {
			k = big.NewRat(int64(b.duels(p, plates)), 1)
		} else {
			k = b.steadiness(p)
		}
		if k == nil {
			return [][]int{plates}
		}
		key[p] = k
	}
	sorted := slices.Clone(plates)
	slices.SortStableFunc(sorted, func(x, y int) int { return key[y].Cmp(key[x]) })
	var parts [][]int
	for n, p := range sorted {
		if n > 0 && key[sorted[n-1]].Cmp(key[p]) == 0 {
			parts[len(parts)-1] = append(parts[len(parts)-1], p)
		} else {
			parts = append(parts, []int{p})
		}
	}
	return parts
}

func (b *board) criterionKey(plate int, key string) *big.Rat {
	for c := range b.ruler.criteria {
		if b.ruler.criteria[c].Key == key {
			return b.criterionMean(plate, c).Exact
		}
	}
	return nil
}

// duels is, over the other tied plates, duels won less duels lost: a duel goes
// to the plate that more of the judges who tasted both marked higher.
func (b *board) duels(plate int, tied []int) int {
	won := 0
	for _, other := range tied {
		if other != plate {
			won += sign(b.majority(plate, other))
		}
	}
	return won
}

// majority is judges who marked x above y, less those who marked y above x.
func (b *board) majority(x, y int) int {
	left, right := b.of(x), b.of(y)
	lead := 0
	for i, j := 0, 0; i < len(left) && j < len(right); {
		switch {
		case left[i].judge < right[j].judge:
			i++
		case left[i].judge > right[j].judge:
			j++
		default:
			lead += left[i].mark.cmp(right[j].mark)
			i++
			j++
		}
	}
	return lead
}

func sign(n int) int { return compare(int64(n), 0) }

// steadiness is minus the sample variance of a plate's marks, exactly; nil for
// fewer than two.
func (b *board) steadiness(plate int) *big.Rat {
	row := b.of(plate)
	if len(row) < 2 {
		return nil
	}
	mean := b.mean(row)
	sum := new(big.Rat)
	for _, s := range row {
		d := new(big.Rat).Mul(big.NewRat(s.mark.num, s.mark.den), b.ruler.unit)
		d.Sub(d, mean)
		sum.Add(sum, d.Mul(d, d))
	}
	return sum.Mul(sum, big.NewRat(-1, int64(len(row)-1)))
}

// firsts counts, per plate, the judges who marked it above all else they
// tasted, and those who marked it highest together with another plate.
func (b *board) firsts() (alone, level []int) {
	alone, level = make([]int, len(b.plates)), make([]int, len(b.plates))
	for _, list := range b.byJudge() {
		if len(list) < 2 {
			continue
		}
		top := list[:1]
		for _, at := range list[1:] {
			switch b.sheets[at].mark.cmp(b.sheets[top[0]].mark) {
			case 1:
				top = []int32{at}
			case 0:
				top = append(slices.Clip(top), at)
			}
		}
		count := level
		if len(top) == 1 {
			count = alone
		}
		for _, at := range top {
			count[b.sheets[at].plate]++
		}
	}
	return alone, level
}
