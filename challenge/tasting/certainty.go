package tasting

import (
	"slices"

	"fairladle/challenge/panel"
	"fairladle/challenge/wording"
)

// Certainty says how sure a verdict is. It is for the host first, and for the
// details page after the release.
type Certainty struct {
	Judges    int         `json:"judges"`
	Method    Method      `json:"method"`
	First     []int64     `json:"first"`             // the plates in first place
	Runs      int         `json:"runs"`              // how often the tally was made again
	SameFirst int         `json:"sameFirst"`         // with the same plates in first place
	Unusable  int         `json:"unusable"`          // runs that do not count; see Explain
	Often     []Often     `json:"often,omitempty"`   // in the order of the verdict
	Turning   []Turning   `json:"turning,omitempty"` // judges without whom another plate would be first
	Untold    bool        `json:"untold,omitempty"`  // Turning was not looked for: the field is too large
	Rules     []OtherRule `json:"rules,omitempty"`
	Agreement Agreement   `json:"agreement"`
	Words     []string    `json:"words"`
}

// Method is how the certainty was found.
type Method string

// Under five judges: counts and plain words only. Under nine: the tally again
// without every one and every two of them. From nine on: the tally again with
// panels drawn from the judges, with replacement.
const (
	CountsOnly  Method = "counts"
	LeaveOut    Method = "leave-out"
	Resampling  Method = "resampling"
	manyJudges         = 9
	resamples          = 1000
	resampleMax        = 4_000_000 // sheets over all runs, so that nobody waits
)

// Often is how a plate fared over the runs.
type Often struct {
	Plate int64   `json:"plate"`
	First float64 `json:"first"` // share of runs in which it came first; level first places share
	Best  int     `json:"best"`  // ranks that nine in ten runs lie between (all runs for LeaveOut)
	Worst int     `json:"worst"`
}

// Turning is a judge without whom other plates would be first.
type Turning struct {
	Judge int64   `json:"judge"`
	First []int64 `json:"first"`
}

// OtherRule is what another usual rule would have said.
type OtherRule struct {
	Kind      Kind    `json:"kind"`
	First     []int64 `json:"first"` // nil where the rule gives no ranking
	SameFirst bool    `json:"sameFirst"`
	SameOrder bool    `json:"sameOrder"`
}

// Explain tallies again under other rules, with judges left out and with
// panels resampled; seed (random bytes, kept with the result) makes the
// resamples repeatable. A run that leaves a plate without a score, or splits
// the plates into groups that cannot be compared, does not count and is not
// replaced; Unusable says how many there were. Ties that wait for a draw stay
// ties.
func Explain(rule Rule, criteria []Criterion, plates []int64, sheets []Sheet, seed [32]byte) (Certainty, error) {
	if err := rule.Check(criteria); err != nil {
		return Certainty{}, err
	}
	r, err := newRuler(criteria)
	if err != nil {
		return Certainty{}, err
	}
	b := newBoard(r, rule.Missing, distinct(plates), sheets)
	v := b.verdict(rule)
	c := Certainty{Judges: v.Judges, Method: CountsOnly, First: v.first()}
	if v.Outcome == Ranked && v.Judges >= fewJudges {
		c.Agreement = b.agreement()
		c.tryRules(b, v)
		c.tryWithout(b, v)
		c.tryPanels(b, v, seed)
	}
	c.Words = wording.English(c.Sentences(v, PlateNumber))
	return c, nil
}

func (v Verdict) first() []int64 {
	var first []int64
	for _, p := range v.Places {
		if p.Rank == 1 {
			first = append(first, p.Plate)
		}
	}
	return first
}

// tryRules tallies by every other kind. Where that kind cannot treat missing
// scores as the rule does, the criteria that were scored make the mark.
func (c *Certainty) tryRules(b *board, v Verdict) {
	for _, kind := range Kinds() {
		if kind == v.Rule.Kind {
			continue
		}
		other := v.Rule
		other.Kind, other.Trim = kind, 0
		if kind == TrimmedMean {
			other.Trim = usualTrim
		}
		if other.Missing == ByCriterion && kind != WeightedMean {
			other.Missing = Renormalise
		}
		w := b.verdict(other)
		c.Rules = append(c.Rules, OtherRule{
			Kind: kind, First: w.first(), SameFirst: sameSet(w.first(), c.First),
			SameOrder: slices.EqualFunc(v.Places, w.Places, func(p, q Place) bool { return p.Plate == q.Plate && p.Rank == q.Rank }),
		})
	}
}

// usualTrim is the trimming shown beside a rule that does not trim.
const usualTrim = 20

func (c *Certainty) tryWithout(b *board, v Verdict) {
	if len(b.judges)*len(b.sheets) > resampleMax {
		c.Untold = true
		return
	}
	everybody := slices.Repeat([]int{1}, len(b.judges))
	for j, judge := range b.judges {
		everybody[j] = 0
		w := b.again(v.Rule, everybody)
		everybody[j] = 1
		if usable(v, w) && !sameSet(w.first(), c.First) {
			c.Turning = append(c.Turning, Turning{judge, w.first()})
		}
	}
}

func (c *Certainty) tryPanels(b *board, v Verdict, seed [32]byte) {
	runs := newRuns(v)
	try := func(count []int) {
		w := b.again(v.Rule, count)
		if !usable(v, w) {
			c.Unusable++
			return
		}
		c.Runs++
		if sameSet(w.first(), c.First) {
			c.SameFirst++
		}
		runs.add(w)
	}
	if len(b.judges) < manyJudges {
		c.Method = LeaveOut
		leaveOut(len(b.judges), try)
		c.Often = runs.often(c.Runs, 0)
		return
	}
	c.Method = Resampling
	panel.Draws(len(b.judges), max(1, min(resamples, resampleMax/len(b.sheets))), seed, try)
	c.Often = runs.often(c.Runs, .05)
}

// leaveOut visits every panel without one and without two judges.
func leaveOut(n int, visit func(count []int)) {
	count := slices.Repeat([]int{1}, n)
	for j := range n {
		count[j] = 0
		visit(count)
		for k := range j {
			count[k] = 0
			visit(count)
			count[k] = 1
		}
		count[j] = 1
	}
}

// usable reports whether a run ranks all plates that the verdict ranks.
func usable(v, w Verdict) bool {
	return w.Outcome == Ranked && len(w.Order()) == len(v.Order())
}

// again tallies with each judge counted count times.
func (b *board) again(rule Rule, count []int) Verdict {
	rule.SmallestPanel = 0
	offset := make([]int32, len(count)+1)
	for j, n := range count {
		offset[j+1] = offset[j] + int32(n)
	}
	c := &board{ruler: b.ruler, plates: b.plates, source: b.source, judges: make([]int64, offset[len(count)])}
	for _, s := range b.sheets {
		for copy := range count[s.judge] {
			drawn := s
			drawn.judge = offset[s.judge] + int32(copy)
			c.sheets = append(c.sheets, drawn)
		}
	}
	c.index()
	return c.verdict(rule)
}

// runs gathers ranks over runs.
type runs struct {
	plates []int64
	at     map[int64]int
	first  []float64
	ranks  [][]int
}

func newRuns(v Verdict) *runs {
	r := &runs{plates: v.Order(), at: map[int64]int{}}
	for n, p := range r.plates {
		r.at[p] = n
	}
	r.first, r.ranks = make([]float64, len(r.plates)), make([][]int, len(r.plates))
	return r
}

func (r *runs) add(w Verdict) {
	first := w.first()
	for _, p := range first {
		r.first[r.at[p]] += 1 / float64(len(first))
	}
	for _, p := range w.Places {
		if n, known := r.at[p.Plate]; known {
			r.ranks[n] = append(r.ranks[n], p.Rank)
		}
	}
}

// often leaves out the share tail of the runs at each end.
func (r *runs) often(n int, tail float64) []Often {
	if n == 0 {
		return nil
	}
	all := make([]Often, len(r.plates))
	cut := int(tail * float64(n))
	for k, p := range r.plates {
		slices.Sort(r.ranks[k])
		all[k] = Often{p, r.first[k] / float64(n), r.ranks[k][cut], r.ranks[k][n-1-cut]}
	}
	return all
}
