package tasting

import (
	"math/big"
	"slices"

	"fairladle/challenge/panel"
	"fairladle/challenge/wording"
)

// Tally turns sheets into a verdict by a rule that Rule.Check accepts. plates
// are the plates served, in any order; a plate that nobody scored keeps no
// rank and changes nothing for the others. Of several sheets by one judge for
// one plate the last counts. Sheets that cannot count are in Verdict.LeftOut.
//
// The result depends on its arguments alone, and not on the order of sheets by
// different judges.
func Tally(rule Rule, criteria []Criterion, plates []int64, sheets []Sheet) (Verdict, error) {
	if err := rule.Check(criteria); err != nil {
		return Verdict{}, err
	}
	r, err := newRuler(criteria)
	if err != nil {
		return Verdict{}, err
	}
	b := newBoard(r, rule.Missing, distinct(plates), sheets)
	v := b.verdict(rule)
	v.Words = wording.English(v.Sentences(PlateNumber))
	return v, nil
}

// distinct keeps the first of each plate, in the order given.
func distinct(plates []int64) []int64 {
	seen, kept := make(map[int64]bool, len(plates)), make([]int64, 0, len(plates))
	for _, p := range plates {
		if !seen[p] {
			seen[p] = true
			kept = append(kept, p)
		}
	}
	return kept
}

func (b *board) verdict(rule Rule) Verdict {
	v := Verdict{Rule: rule, Outcome: Ranked, Judges: len(b.judges), Sheets: len(b.sheets), Unit: b.ruler.name(), LeftOut: b.left}
	scores, comparable := b.scores(rule)
	switch {
	case len(b.sheets) == 0:
		v.Outcome = NoSheets
	case len(b.judges) < rule.SmallestPanel:
		v.Outcome, v.Below = TooFew, rule.Below
	case !comparable:
		v.Outcome = NotComparable
	}
	switch rule.Kind {
	case Standardised:
		v.Unit = UnitSD
	case Borda:
		v.Unit = UnitShare
	}
	if v.Outcome == Ranked {
		b.rank(&v, scores)
		return v
	}
	for p, plate := range b.plates {
		v.Places = append(v.Places, Place{Plate: plate, Sheets: len(b.of(p))})
	}
	return v
}

// score is a plate's score: exact where the rule is rational.
type score struct {
	scored bool
	exact  *big.Rat
	value  float64
}

func exactly(r *big.Rat) score {
	f, _ := r.Float64()
	return score{true, r, f}
}

// alike is how near two scores of a rule that is not rational must lie to be a
// tie: far above rounding errors, far below anything that a judge can express.
const alike = 1e-9

func (s score) cmp(t score) int {
	if s.exact != nil && t.exact != nil {
		return s.exact.Cmp(t.exact)
	}
	switch {
	case s.value < t.value:
		return -1
	case s.value > t.value:
		return 1
	}
	return 0
}

func (s score) same(t score) bool {
	if s.exact != nil && t.exact != nil {
		return s.exact.Cmp(t.exact) == 0
	}
	d := s.value - t.value
	return d <= alike && d >= -alike
}

// scores scores every plate by the rule. comparable is false where the rule
// cannot put all plates on one scale.
func (b *board) scores(rule Rule) (s []score, comparable bool) {
	switch rule.Kind {
	case Standardised:
		return b.standardised(), true
	case Borda:
		return b.borda(), true
	case Additive:
		return b.additive()
	}
	s = make([]score, len(b.plates))
	for p := range s {
		row := b.of(p)
		switch {
		case len(row) == 0:
		case rule.Kind == TrimmedMean:
			s[p] = exactly(b.trimmed(row, rule.Trim))
		case rule.Missing == ByCriterion:
			s[p] = exactly(b.byCriterion(p))
		default:
			s[p] = exactly(b.mean(row))
		}
	}
	return s, true
}

func (b *board) mean(row []tasted) *big.Rat {
	var t total
	for _, s := range row {
		t.add(s.mark)
	}
	return t.mean(len(row), b.ruler.unit)
}

func (b *board) trimmed(row []tasted, percent int) *big.Rat {
	sorted := slices.Clone(row)
	slices.SortFunc(sorted, func(x, y tasted) int { return x.mark.cmp(y.mark) })
	g := panel.Trimmed(len(sorted), percent)
	return b.mean(sorted[g : len(sorted)-g])
}

// byCriterion weights the plain means of the criteria; the weight of a
// criterion that nobody scored for this plate is shared among the others.
func (b *board) byCriterion(plate int) *big.Rat {
	sum, weights := new(big.Rat), int64(0)
	for c := range b.ruler.criteria {
		if total, n := b.criterionSum(plate, c, false); n > 0 {
			w := int64(b.ruler.criteria[c].Weight)
			weights += w
			sum.Add(sum, new(big.Rat).Mul(big.NewRat(total, int64(n)), big.NewRat(w, 1)))
		}
	}
	sum.Mul(sum, big.NewRat(1, weights))
	return sum.Mul(sum, b.ruler.unit)
}

func (b *board) standardised() []score {
	sums := make([]float64, len(b.plates))
	for _, list := range b.byJudge() {
		marks := make([]float64, len(list))
		for n, at := range list {
			marks[n] = b.sheets[at].mark.float()
		}
		for n, z := range panel.ZScores(marks) {
			sums[b.sheets[list[n]].plate] += z
		}
	}
	s := make([]score, len(b.plates))
	for p := range s {
		if n := len(b.of(p)); n > 0 {
			s[p] = score{scored: true, value: sums[p] / float64(n)}
		}
	}
	return s
}

// borda gives a plate, from each judge who tasted at least two, the share of
// the judge's other plates that stand below it; a tie counts half. For a
// complete panel that is the Borda count divided by what it could reach.
func (b *board) borda() []score {
	totals, counts := make([]total, len(b.plates)), make([]int, len(b.plates))
	for _, list := range b.byJudge() {
		if len(list) < 2 {
			continue
		}
		slices.SortFunc(list, func(x, y int32) int { return b.sheets[x].mark.cmp(b.sheets[y].mark) })
		for lo := 0; lo < len(list); {
			hi := lo + 1
			for hi < len(list) && b.sheets[list[hi]].mark.cmp(b.sheets[list[lo]].mark) == 0 {
				hi++
			}
			beaten := fraction{int64(2*lo + hi - lo - 1), int64(2 * (len(list) - 1))}
			for _, at := range list[lo:hi] {
				p := b.sheets[at].plate
				totals[p].add(beaten)
				counts[p]++
			}
			lo = hi
		}
	}
	s := make([]score, len(b.plates))
	for p := range s {
		if counts[p] > 0 {
			s[p] = exactly(totals[p].mean(counts[p], big.NewRat(1, 1)))
		}
	}
	return s
}

// additive scores a plate by what an average judge would give it.
func (b *board) additive() (s []score, comparable bool) {
	s = make([]score, len(b.plates))
	if len(b.sheets) == 0 {
		return s, true
	}
	fit, err := panel.Additive(b.table())
	if err != nil || fit.Groups.Count > 1 {
		return s, false
	}
	unit, _ := b.ruler.unit.Float64()
	at := 0
	for p := range b.plates {
		if len(b.of(p)) > 0 {
			s[p] = score{scored: true, value: fit.Adjusted[at] * unit}
			at++
		}
	}
	return s, true
}

// table is the marks, in units of the ruler, under the indices of the board:
// only plates with a sheet are items, and they keep their order.
func (b *board) table() *panel.Table {
	marks := make([]panel.Mark, len(b.sheets))
	for n, s := range b.sheets {
		marks[n] = panel.Mark{Item: int64(s.plate), Rater: int64(s.judge), Value: s.mark.float()}
	}
	t, err := panel.NewTable(marks)
	if err != nil {
		panic("tasting: the board holds sheets that a table refuses: " + err.Error())
	}
	return t
}
