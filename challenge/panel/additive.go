package panel

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Fit is the two-way additive model value = mean + item + rater + error, fitted
// by least squares. Items and raters keep the order of the table. Item effects
// add up to zero, and so do rater effects, each within its group.
//
// With one group (Groups.Count == 1) everything is comparable. With several,
// effects compare within a group only: nothing links the groups.
type Fit struct {
	Table    *Table
	Groups   Groups
	Mean     float64   // of group 0 where there are several
	Item     []float64 // item effects
	Rater    []float64 // rater effects; positive = lenient
	Adjusted []float64 // group mean + item effect: what an average rater would give
	RSS      float64   // residual sum of squares
	DF       int       // residual degrees of freedom
	Sigma    float64   // residual standard deviation, NaN where DF is 0
	pinv     *mat.SymDense
}

// Additive fits the model. The cost is dominated by a dense system of the
// size of the raters, however many items there are. (Elimination of the
// items: Searle, Linear Models, 1971, ch. 7; from memory.)
func Additive(t *Table) (*Fit, error) {
	if t == nil || len(t.cells) == 0 {
		return nil, ErrNoMarks
	}
	f := &Fit{Table: t, Groups: groups(t)}
	if err := f.invert(); err != nil {
		return nil, err
	}
	f.solve(nil, &solution{})
	return f, nil
}

// solution is the space that solve works in, kept between resamples.
type solution struct {
	means, reduced, rater, item, adjusted []float64
	level                                 []float64
}

// invert forms the reduced normal matrix of the raters, L = diag(n_j) - N'D^-1 N,
// and its pseudo-inverse. L has one zero eigenvalue per group, with the group's
// indicator as its vector; adding the projection on those makes it definite.
func (f *Fit) invert() error {
	t, r := f.Table, len(f.Table.Raters)
	l := make([]float64, r*r)
	for i := range t.Items {
		row := t.of(i)
		share := 1 / float64(len(row))
		for _, a := range row {
			l[int(a.rater)*r+int(a.rater)]++
			for _, b := range row {
				l[int(a.rater)*r+int(b.rater)] -= share
			}
		}
	}
	sizes := f.Groups.raterCounts()
	addGroups(l, f.Groups, sizes, 1)
	var chol mat.Cholesky
	if !chol.Factorize(mat.NewSymDense(r, l)) {
		return errors.New("the additive model has no solution: the marks are numerically degenerate")
	}
	f.pinv = mat.NewSymDense(r, nil)
	if err := chol.InverseTo(f.pinv); err != nil {
		var cond mat.Condition
		if !errors.As(err, &cond) {
			return err
		}
	}
	addGroups(f.pinv.RawSymmetric().Data, f.Groups, sizes, -1)
	return nil
}

func addGroups(l []float64, g Groups, sizes []int, sign float64) {
	r := len(g.Rater)
	for a := range r {
		for b := range r {
			if g.Rater[a] == g.Rater[b] {
				l[a*r+b] += sign / float64(sizes[g.Rater[a]])
			}
		}
	}
}

// solve fits values (nil: the table's own), one per cell, into s, and into f
// where values is nil.
func (f *Fit) solve(values []float64, s *solution) {
	t := f.Table
	at := func(n int) float64 {
		if values == nil {
			return t.cells[n].value
		}
		return values[n]
	}
	items, raters := len(t.Items), len(t.Raters)
	s.means, s.item, s.adjusted = resize(s.means, items), resize(s.item, items), resize(s.adjusted, items)
	s.reduced, s.rater = resize(s.reduced, raters), resize(s.rater, raters)
	for i := range items {
		lo, hi := t.start[i], t.start[i+1]
		var a sum
		for n := lo; n < hi; n++ {
			a.add(at(n))
		}
		s.means[i] = a.total() / float64(hi-lo)
		for n := lo; n < hi; n++ {
			s.reduced[t.cells[n].rater] += at(n) - s.means[i]
		}
	}
	multiply(s.rater, f.pinv, s.reduced)
	f.centre(s.rater, f.Groups.Rater)
	for i := range items {
		var a sum
		row := t.of(i)
		for _, c := range row {
			a.add(s.rater[c.rater])
		}
		s.adjusted[i] = s.means[i] - a.total()/float64(len(row))
	}
	copy(s.item, s.adjusted)
	s.level = f.centre(s.item, f.Groups.Item)
	if values == nil {
		f.keep(s)
	}
}

func (f *Fit) keep(s *solution) {
	t := f.Table
	f.Item, f.Rater, f.Adjusted, f.Mean = s.item, s.rater, s.adjusted, s.level[0]
	var rss sum
	for _, c := range t.cells {
		e := f.residual(c)
		rss.add(e * e)
	}
	f.RSS = rss.total()
	f.DF = len(t.cells) - len(t.Items) - len(t.Raters) + f.Groups.Count
	f.Sigma = math.NaN()
	if f.DF > 0 {
		f.Sigma = math.Sqrt(f.RSS / float64(f.DF))
	}
}

func (f *Fit) residual(c cell) float64 { return c.value - f.Adjusted[c.item] - f.Rater[c.rater] }

// centre takes each group's plain mean out of x and returns those means.
func (f *Fit) centre(x []float64, group []int) []float64 {
	sums, n := make([]sum, f.Groups.Count), make([]int, f.Groups.Count)
	for i, v := range x {
		sums[group[i]].add(v)
		n[group[i]]++
	}
	level := make([]float64, f.Groups.Count)
	for g := range level {
		level[g] = sums[g].total() / float64(n[g])
	}
	for i := range x {
		x[i] -= level[group[i]]
	}
	return level
}

// Residuals are value minus fitted value, ordered by item and then rater.
func (f *Fit) Residuals() []float64 {
	e := make([]float64, len(f.Table.cells))
	for n, c := range f.Table.cells {
		e[n] = f.residual(c)
	}
	return e
}

// SE is the standard error of an item's adjusted mean (index as in
// Table.Items); NaN without residual degrees of freedom. An item's plain mean
// and the rater effects are uncorrelated, so their variances add.
func (f *Fit) SE(item int) float64 {
	row := f.Table.of(item)
	k := float64(len(row))
	var q float64
	for _, a := range row {
		for _, b := range row {
			q += f.pinv.At(int(a.rater), int(b.rater))
		}
	}
	return f.Sigma * math.Sqrt(1/k+q/(k*k))
}

// SEDifference is the standard error of the difference of two items' adjusted
// means; +Inf where nothing links them.
func (f *Fit) SEDifference(a, b int) float64 {
	if f.Groups.Item[a] != f.Groups.Item[b] {
		return math.Inf(1)
	}
	if a == b {
		return 0
	}
	w := make([]float64, len(f.Table.Raters))
	q := f.share(w, a, 1) + f.share(w, b, -1)
	for j, x := range w {
		for k, y := range w {
			if x != 0 && y != 0 {
				q += x * y * f.pinv.At(j, k)
			}
		}
	}
	return f.Sigma * math.Sqrt(q)
}

// share adds sign/n to the weight of each of an item's n raters; it returns 1/n.
func (f *Fit) share(w []float64, item int, sign float64) float64 {
	row := f.Table.of(item)
	for _, c := range row {
		w[c.rater] += sign / float64(len(row))
	}
	return 1 / float64(len(row))
}

// SERater is the standard error of a rater's effect.
func (f *Fit) SERater(rater int) float64 {
	return f.Sigma * math.Sqrt(max(0, f.pinv.At(rater, rater)))
}

func resize(x []float64, n int) []float64 {
	if cap(x) < n {
		return make([]float64, n)
	}
	x = x[:n]
	clear(x)
	return x
}

func multiply(dst []float64, m *mat.SymDense, x []float64) {
	mat.NewVecDense(len(dst), dst).MulVec(m, mat.NewVecDense(len(x), x))
}
