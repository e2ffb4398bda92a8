package panel

// ICC is one form of the intraclass correlation with its 95 per cent limits.
type ICC struct{ Value, Low, High float64 }

// Intraclass holds the six forms of P. E. Shrout and J. L. Fleiss,
// Psychological Bulletin 86(2), 420-428, 1979. The first number of a form is
// its model: 1 = every item has raters of its own, 2 = raters are a sample and
// their strictness counts as disagreement, 3 = these raters only, strictness
// taken out. The second: a single rater, or the mean of all k. Values are NaN or
// infinite where items or raters do not differ at all.
type Intraclass struct {
	OneSingle, TwoSingle, ThreeSingle ICC // (1,1) (2,1) (3,1)
	OneMean, TwoMean, ThreeMean       ICC // (1,k) (2,k) (3,k); the last value is Cronbach's alpha
	BMS, WMS, JMS, EMS                float64
}

// Intraclasses works the six forms out from a complete table, one row per rater.
func Intraclasses(rows [][]float64) (Intraclass, error) {
	raters, items, err := shape(rows)
	if err != nil {
		return Intraclass{}, err
	}
	var r Intraclass
	k, n := float64(raters), float64(items)
	between, judges, residual := split(rows)
	r.BMS, r.JMS = between/(n-1), judges/(k-1)
	r.EMS = residual / ((n - 1) * (k - 1))
	r.WMS = (judges + residual) / (n * (k - 1))
	r.one(n, k)
	r.two(n, k)
	r.three(n, k)
	return r, nil
}

// split is the sums of squares of items, raters and the rest.
func split(rows [][]float64) (items, raters, rest float64) {
	columns := make([][]float64, len(rows[0]))
	rowMeans, columnMeans := make([]float64, len(rows)), make([]float64, len(columns))
	for j, row := range rows {
		rowMeans[j] = Mean(row)
		for i, v := range row {
			columns[i] = append(columns[i], v)
		}
	}
	for i, column := range columns {
		columnMeans[i] = Mean(column)
	}
	grand := Mean(rowMeans)
	var e sum
	for j, row := range rows {
		for i, v := range row {
			d := v - rowMeans[j] - columnMeans[i] + grand
			e.add(d * d)
		}
	}
	return float64(len(rows)) * aboutMean(columnMeans), float64(len(columns)) * aboutMean(rowMeans), e.total()
}

func (r *Intraclass) one(n, k float64) {
	f := r.BMS / r.WMS
	low, high := f/fQuantile(n-1, n*(k-1)), f*fQuantile(n*(k-1), n-1)
	r.OneSingle = ICC{(f - 1) / (f + k - 1), (low - 1) / (low + k - 1), (high - 1) / (high + k - 1)}
	r.OneMean = ICC{1 - 1/f, 1 - 1/low, 1 - 1/high}
}

func (r *Intraclass) three(n, k float64) {
	f := r.BMS / r.EMS
	low, high := f/fQuantile(n-1, (n-1)*(k-1)), f*fQuantile((n-1)*(k-1), n-1)
	r.ThreeSingle = ICC{(f - 1) / (f + k - 1), (low - 1) / (low + k - 1), (high - 1) / (high + k - 1)}
	r.ThreeMean = ICC{1 - 1/f, 1 - 1/low, 1 - 1/high}
}

// two takes its limits from Satterthwaite's degrees of freedom, as Shrout and
// Fleiss give them.
func (r *Intraclass) two(n, k float64) {
	b, j, e := r.BMS, r.JMS, r.EMS
	icc := (b - e) / (b + (k-1)*e + k*(j-e)/n)
	f := j / e
	part := n*(1+(k-1)*icc) - k*icc
	v := (k - 1) * (n - 1) * (k*icc*f + part) * (k*icc*f + part) /
		((n-1)*k*k*icc*icc*f*f + part*part)
	up, down := fQuantile(n-1, v), fQuantile(v, n-1)
	rest := k*j + (k*n-k-n)*e
	low := n * (b - up*e) / (up*rest + n*b)
	high := n * (down*b - e) / (rest + n*down*b)
	r.TwoSingle = ICC{icc, low, high}
	mean := func(x float64) float64 { return x * k / (1 + x*(k-1)) }
	r.TwoMean = ICC{(b - e) / (b + (j-e)/n), mean(low), mean(high)}
}
