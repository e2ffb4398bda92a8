package shortlist

import "slices"

// Chance is how often an entry makes the cut when the marks are resampled.
type Chance struct {
	Entry int64   `json:"entry"`
	Share float64 `json:"share"` // 0 never, 1 always
}

// Chances resamples the marks times times (see panel.Fit.Resample) and counts
// how often each entry is among the best size, by the rule; entries level at
// the cut share what is left. The order is that of entries. It returns nil
// where the marks cannot tell: too few readers overlap.
func Chances(readings []Reading, entries []int64, size int, rule Rule, times int, seed [32]byte) ([]Chance, error) {
	if err := rule.Check(); err != nil {
		return nil, err
	}
	if size < 1 {
		return nil, ErrSize
	}
	f, err := newField(readings, entries)
	if err != nil || !f.overlapping() || times < 1 {
		return nil, err
	}
	share := make([]float64, len(f.table.Items))
	scores, sorted := make([]float64, len(share)), make([]float64, len(share))
	shift := f.shift()
	told := f.resample(f.kind(rule), times, seed, func(means []float64) {
		for n := range scores {
			scores[n] = means[n] + shift[n]
		}
		admit(share, scores, sorted, size)
	})
	if !told {
		return nil, nil
	}
	at := map[int64]int{}
	for n, e := range f.table.Items {
		at[e] = n
	}
	chances := make([]Chance, len(f.entries))
	for n, e := range f.entries {
		chances[n].Entry = e
		if k, read := at[e]; read {
			chances[n].Share = share[k] / float64(times)
		}
	}
	return chances, nil
}

func (f *field) resample(kind Kind, times int, seed [32]byte, visit func([]float64)) bool {
	if kind == Calibrated {
		return f.fit.Resample(times, seed, visit)
	}
	return f.fit.ResamplePlain(times, seed, visit)
}

// shift puts groups that nothing links on one level, as Cut does.
func (f *field) shift() []float64 {
	shift := make([]float64, len(f.table.Items))
	if f.fit.Groups.Count == 1 {
		return shift
	}
	for n := range shift {
		shift[n] = f.calibrated(n) - f.fit.Adjusted[n]
	}
	return shift
}

// admit adds 1 to each of the best size scores; scores level with the last
// place share the places left.
func admit(share, scores, sorted []float64, size int) {
	if len(scores) <= size {
		for n := range share {
			share[n]++
		}
		return
	}
	copy(sorted, scores)
	slices.Sort(sorted)
	bar := sorted[len(sorted)-size]
	above, at := 0, 0
	for _, x := range scores {
		if x > bar+level {
			above++
		} else if x >= bar-level {
			at++
		}
	}
	part := float64(size-above) / float64(at)
	for n, x := range scores {
		if x > bar+level {
			share[n]++
		} else if x >= bar-level {
			share[n] += part
		}
	}
}
