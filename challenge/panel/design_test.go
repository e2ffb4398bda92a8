package panel_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/panel"
)

// designs that exist: t treatments, blocks of k, b blocks, lambda blocks for
// each two treatments (b k = r t, r (k-1) = lambda (t-1)).
func TestBalancedIncompleteBlockDesigns(t *testing.T) {
	for _, c := range []struct{ t, k, b, lambda int }{
		{3, 2, 3, 1}, {4, 2, 6, 1}, {4, 3, 4, 2}, {5, 2, 10, 1}, {5, 3, 10, 3}, {5, 4, 5, 3},
		{6, 3, 10, 2}, {6, 5, 6, 4}, {7, 3, 7, 1}, {7, 4, 7, 2}, {9, 3, 12, 1}, {7, 3, 14, 2},
	} {
		for seed := range byte(5) {
			d := panel.NewDesign(panel.Blocks{Blocks: c.b, Treatments: c.t, Size: c.k}, [32]byte{seed})
			fewest, most := d.SharedRange()
			require.Equal(t, []int{c.lambda, c.lambda}, []int{fewest, most}, "%+v seed %d", c, seed)
		}
	}
}

// With what is barred, loads are as equal as any assignment can make them:
// compared with every assignment of small cases.
func TestLoadsAreAsEqualAsTheyCanBe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := panel.Blocks{Blocks: rapid.IntRange(1, 6).Draw(t, "blocks"), Treatments: rapid.IntRange(1, 4).Draw(t, "treatments")}
		b.Size = rapid.IntRange(1, b.Treatments).Draw(t, "size")
		barred := map[[2]int]bool{}
		for range rapid.IntRange(0, 12).Draw(t, "barred") {
			p := [2]int{rapid.IntRange(0, b.Blocks-1).Draw(t, "block"), rapid.IntRange(0, b.Treatments-1).Draw(t, "treatment")}
			barred[p] = true
			b.Barred = append(b.Barred, p)
		}
		if rapid.Bool().Draw(t, "loaded") {
			b.Load = make([]int, b.Treatments)
			b.Load[0] = rapid.IntRange(0, 3).Draw(t, "load")
		}
		d := panel.NewDesign(b, [32]byte{rapid.Byte().Draw(t, "seed")})
		counted := make([]int, b.Treatments)
		copy(counted, b.Load)
		for e, given := range d.Given {
			for _, j := range given {
				require.False(t, barred[[2]int{e, j}])
				counted[j]++
			}
		}
		require.Equal(t, counted, d.Load)
		require.Equal(t, leastSquares(b, barred), sumOfSquares(d.Load))
	})
}

func sumOfSquares(x []int) int {
	s := 0
	for _, v := range x {
		s += v * v
	}
	return s
}

// leastSquares tries every assignment.
func leastSquares(b panel.Blocks, barred map[[2]int]bool) int {
	best := -1
	load := make([]int, b.Treatments)
	copy(load, b.Load)
	var walk func(block, next, left int)
	walk = func(block, next, left int) {
		switch {
		case block == b.Blocks:
			if s := sumOfSquares(load); best < 0 || s < best {
				best = s
			}
		case left == 0:
			walk(block+1, 0, wanted(b, barred, block+1))
		case next < b.Treatments:
			walk(block, next+1, left)
			if !barred[[2]int{block, next}] {
				load[next]++
				walk(block, next+1, left-1)
				load[next]--
			}
		}
	}
	walk(0, 0, wanted(b, barred, 0))
	return best
}

func wanted(b panel.Blocks, barred map[[2]int]bool, block int) int {
	free := 0
	for j := range b.Treatments {
		if !barred[[2]int{block, j}] {
			free++
		}
	}
	return min(b.Size, free)
}

func TestDrawsAreWithReplacement(t *testing.T) {
	total, most := make([]int, 5), 0
	panel.Draws(5, 2000, [32]byte{7}, func(count []int) {
		sum := 0
		for j, c := range count {
			total[j] += c
			sum += c
			most = max(most, c)
		}
		require.Equal(t, 5, sum)
	})
	for _, n := range total {
		require.InDelta(t, 2000, n, 200)
	}
	require.Greater(t, most, 2)
}

// The spread of resampled adjusted means is the standard error of the fit, up
// to what 4,000 resamples leave to chance.
func TestResamplesSpreadLikeTheStandardError(t *testing.T) {
	fit := mustFit(t, marksOf(catalyst))
	values := make([][]float64, 4)
	require.True(t, fit.Resample(4000, [32]byte{1}, func(adjusted []float64) {
		for i, v := range adjusted {
			values[i] = append(values[i], v)
		}
	}))
	for i := range values {
		require.InEpsilon(t, fit.SE(i), panel.SD(values[i]), .1)
		require.InDelta(t, fit.Adjusted[i], panel.Mean(values[i]), .05)
	}
	exact := mustFit(t, []panel.Mark{{1, 1, 3}, {2, 1, 4}})
	require.False(t, exact.Resample(10, [32]byte{}, func([]float64) { t.Fatal("nothing can be told") }))
	require.False(t, exact.ResamplePlain(10, [32]byte{}, func([]float64) { t.Fatal("nothing can be told") }))
	var first []float64
	require.True(t, fit.ResamplePlain(2, [32]byte{}, func(means []float64) { first = slices.Clone(means) }))
	require.Len(t, first, 4)
}

// A deal that gives each block the least loaded treatment gets stuck here, with
// loads of 5 and 2 or worse: only moving blocks on along a chain levels them.
func TestLevelAlongAChain(t *testing.T) {
	const n = 6
	b := panel.Blocks{Blocks: 3 * n, Treatments: 4, Size: 1}
	for e := range 3 * n { // block e may have treatments e/n and e/n + 1
		for j := range 4 {
			if j != e/n && j != e/n+1 {
				b.Barred = append(b.Barred, [2]int{e, j})
			}
		}
	}
	b.Load = []int{n, 0, 0, 0}
	for seed := range byte(20) {
		d := panel.NewDesign(b, [32]byte{seed})
		require.Equal(t, []int{6, 6, 6, 6}, d.Load)
	}
}
