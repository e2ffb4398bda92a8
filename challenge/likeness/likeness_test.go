package likeness

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/recipe"
)

// minRows computes a signature over explicit hash functions, as the book does.
func minRows(set []int, hashes ...func(int) int) []int {
	out := make([]int, len(hashes))
	for i, h := range hashes {
		out[i] = 1 << 30
		for _, x := range set {
			out[i] = min(out[i], h(x))
		}
	}
	return out
}

// Leskovec, Rajaraman, Ullman, Mining of Massive Datasets, ch. 3, Fig. 3.4 and
// Examples 3.6-3.8 (numbering from memory): the sets S1..S4 over rows a..e.
func TestMinHashExample(t *testing.T) {
	sets := [][]int{{0, 3}, {2}, {1, 3, 4}, {0, 2, 3}}
	h1 := func(x int) int { return (x + 1) % 5 }
	h2 := func(x int) int { return (3*x + 1) % 5 }
	want := [][]int{{1, 0}, {3, 2}, {0, 0}, {1, 0}}
	for i, s := range sets {
		require.Equal(t, want[i], minRows(s, h1, h2))
	}
	features := func(s []int) Features {
		var f Features
		for _, x := range s {
			f = append(f, uint64(x))
		}
		return f
	}
	// True Jaccard: (1,2) 0, (1,3) 1/4, (1,4) 2/3, (2,3) 0, (2,4) 1/3, (3,4) 1/5.
	for _, c := range []struct {
		a, b int
		want float64
	}{{0, 1, 0}, {0, 2, 0.25}, {0, 3, 2. / 3}, {1, 2, 0}, {1, 3, 1. / 3}, {2, 3, 0.2}} {
		a, b := features(sets[c.a]), features(sets[c.b])
		require.InDelta(t, c.want, a.Jaccard(b), 1e-12)
		sa, sb := Sign(a), Sign(b)
		require.InDelta(t, c.want, sa.Like(&sb), 0.13, "four standard errors of 256 hashes")
	}
}

// The book's table for r = 5, b = 20 (Fig. 3.8, recomputed to ten digits; the
// printed rounding is from memory), and its threshold.
func TestBandTable(t *testing.T) {
	for s, want := range map[float64]float64{.2: 0.0063805813, .3: 0.0474942591, .4: 0.1860495521, .5: 0.4700507153,
		.6: 0.8019024538, .7: 0.9747805442, .8: 0.9996439421} {
		require.InDelta(t, want, Chance(s, 5, 20), 1e-9)
	}
	require.InDelta(t, 0.549280, Threshold(5, 20), 1e-6)
	require.GreaterOrEqual(t, Chance(0.5, Rows, Bands), 0.98)
}

func TestSignatureStorage(t *testing.T) {
	s := Sign(Features{1, 2, 3})
	back, ok := ParseSignature(s.Bytes())
	require.True(t, ok)
	require.Equal(t, s, back)
	_, ok = ParseSignature([]byte("short"))
	require.False(t, ok)
}

const cake = "# Plum cake\n\n## Ingredients\n\n- 6 plums, halved\n- 200 g flour\n- 2 eggs\n- 100 g sugar\n\n## Method\n\n1. Beat the eggs with the sugar until they are pale and thick.\n2. Fold in the flour, lay the plums on top and bake at 180 C for 35 minutes.\n"

func TestShared(t *testing.T) {
	other := "# My tart\n\n## Ingredients\n\n- 200 g Flour\n- 3 eggs\n- 8 Plums\n\n## Method\n\n1. Grease the tin. Fold in the flour, lay the plums on top, and leave it.\n"
	a, b := recipe.Read(cake), recipe.Read(other)
	got := Shared(a, cake, b, other)
	require.ElementsMatch(t, []string{"plums", "flour", "eggs"}, got.Ingredients)
	require.Equal(t, 1, got.SameAmounts)
	require.Len(t, got.Passages, 1)
	require.Equal(t, "Fold in the flour, lay the plums on top and", got.Passages[0].In(cake))
	require.Equal(t, "Fold in the flour, lay the plums on top, and", got.PassagesOf[0].In(other))
}

func TestCopyIsFound(t *testing.T) {
	var x Index
	x.Add(Sign(Of(recipe.Read(cake))))
	got := x.Find(Sign(Of(recipe.Read(cake + "\nEnjoy!\n"))))
	require.Len(t, got, 1)
	require.Greater(t, got[0].Like, 0.8)
	require.Empty(t, x.Find(Sign(Of(recipe.Read("# Soup\n\n- 1 l stock\n- 2 leeks\n\nSimmer the leeks in the stock for half an hour.\n")))))
}

func corpus(t testing.TB) []Features {
	md, _ := filepath.Glob("../../../shared/corpus/recipes/*/*.md")
	txt, _ := filepath.Glob("../../../shared/corpus/recipes/*/*.txt")
	if len(md)+len(txt) == 0 {
		t.Skip("the recipe corpus is not here: ../shared/corpus/recipes")
	}
	var out []Features
	for _, f := range append(md, txt...) {
		b, err := os.ReadFile(f)
		require.NoError(t, err)
		if set := Of(recipe.Read(string(b))); len(set) >= 20 {
			out = append(out, set)
		}
	}
	return out
}

// rewrite replaces features until the likeness to the original is about want.
func rewrite(r *rand.Rand, set Features, want float64) Features {
	out := append(Features{}, set...)
	// k of n replaced leaves (n-k)/(n+k) shared.
	k := int(float64(len(set)) * (1 - want) / (1 + want))
	for _, i := range r.Perm(len(set))[:k] {
		out[i] = r.Uint64()
	}
	return out
}

// Pairs rewritten to Jaccard 0.5 or a little more are found in at least 95 % of
// cases; unrelated recipes of the corpus are shown in less than 1 of 10,000.
func TestFoundAndNotFound(t *testing.T) {
	sets := corpus(t)
	r := rand.New(rand.NewPCG(1, 2))
	var x Index
	for _, s := range sets {
		x.Add(Sign(s))
	}
	found, tried := 0, 0
	for i, s := range sets {
		for range 5 {
			tried++
			for _, m := range x.Find(Sign(rewrite(r, s, 0.5))) {
				if m.Number == i {
					found++
				}
			}
		}
	}
	t.Logf("rewritten to 0.5: %d of %d found", found, tried)
	require.GreaterOrEqual(t, float64(found)/float64(tried), 0.95)
	shown, pairs := 0, 0
	for i := range sets {
		for _, m := range x.Find(x.sigs[i]) {
			if m.Number > i && sets[i].Jaccard(sets[m.Number]) < 0.3 {
				shown++
			}
		}
		pairs += len(sets) - 1 - i
	}
	t.Logf("unrelated: %d of %d pairs shown", shown, pairs)
	require.Less(t, float64(shown), float64(pairs)/10000)
}

// A look-up among 100,000 entries stays within 5 ms on one core.
func BenchmarkFind(b *testing.B) {
	r := rand.New(rand.NewPCG(3, 4))
	var x Index
	for range 100_000 {
		set := make(Features, 60)
		for i := range set {
			set[i] = uint64(r.IntN(4000)) // a small vocabulary, so that buckets fill
		}
		x.Add(Sign(set))
	}
	q := x.sigs[777]
	b.ResetTimer()
	start := time.Now()
	for range b.N {
		x.Find(q)
	}
	b.ReportMetric(float64(time.Since(start).Microseconds())/float64(b.N)/1000, "ms/look-up")
}

func BenchmarkSign(b *testing.B) {
	set := Of(recipe.Read(cake))
	for b.Loop() {
		Sign(set)
	}
}
