package draw

import (
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// draws is how many draws are simulated for each method and size: 200,000 with
// FAIRLADLE_LONG=1 in the environment, fewer in an ordinary run.
func draws() int {
	if long() {
		return 200_000
	}
	return 5_000
}

func long() bool { return os.Getenv("FAIRLADLE_LONG") != "" }

// smallestP is the level below which a fixed seed's draws count as not uniform.
const smallestP = 1e-4

// simulate draws once with the code that fills the places, fed by rng.
type simulate func(rng *rand.Rand, r Roster, places int) []int

func simulations() map[string]simulate {
	dice := func(faces ...int) simulate {
		return func(rng *rand.Rand, r Roster, places int) []int {
			s := bare(dicePlan(places, faces...), r)
			s.useDice(*s.Plan.Dice)
			for n := 1; !s.Done; n++ {
				shown := make([]int, len(faces))
				for i, f := range faces {
					shown[i] = 1 + rng.IntN(f)
				}
				if err := s.roll(rollEvent(n, s.Place, shown...)); err != nil {
					panic(err)
				}
			}
			return s.Result
		}
	}
	return map[string]simulate{
		"one die":  dice(20),
		"two dice": dice(6, 6),
		"seeds": func(rng *rand.Rand, r Roster, places int) []int {
			s := bare(seedsPlan(places, "a", "b"), r)
			s.drawSeeds(binary.BigEndian.AppendUint64(nil, rng.Uint64()))
			return s.Result
		},
		"public": func(rng *rand.Rand, r Roster, places int) []int {
			s := bare(publicPlan(places), r)
			s.drawPublic(fmt.Sprintf("%d./%d./", rng.Uint32(), rng.Uint32()))
			return s.Result
		},
	}
}

func bare(p Plan, r Roster) *State {
	p.FrozenAt = moment(10)
	return &State{Plan: p, Place: 1, Next: 1, pool: newPool(r)}
}

func TestUniform(t *testing.T) {
	for name, sim := range simulations() {
		for _, n := range []int{2, 3, 7, 10} {
			t.Run(fmt.Sprintf("%s, order of %d", name, n), func(t *testing.T) {
				t.Parallel()
				requireOrderUniform(t, sim, n)
			})
		}
		for _, n := range []int{20, 200} {
			t.Run(fmt.Sprintf("%s, first of %d", name, n), func(t *testing.T) {
				t.Parallel()
				requireFirstUniform(t, sim, n)
			})
		}
		t.Run(name+", permutations of 4", func(t *testing.T) {
			t.Parallel()
			requirePermutationsUniform(t, sim, 4)
		})
	}
}

// requireOrderUniform counts which entry fills which place. The statistic
// (n-1)/n * sum (o-e)^2/e has (n-1)^2 degrees of freedom: rows and columns of
// every draw add up to one.
func requireOrderUniform(t *testing.T, sim simulate, n int) {
	rng, r := rand.New(rand.NewPCG(1, uint64(n))), rosterUpTo(n)
	counts := make([]float64, n*n)
	for range draws() {
		for place, number := range sim(rng, r, n) {
			counts[place*n+number-1]++
		}
	}
	x := chiSquared(counts, float64(draws())/float64(n)) * float64(n-1) / float64(n)
	requireP(t, x, (n-1)*(n-1))
}

func requireFirstUniform(t *testing.T, sim simulate, n int) {
	rng, r := rand.New(rand.NewPCG(2, uint64(n))), rosterUpTo(n)
	counts := make([]float64, n)
	for range draws() {
		counts[sim(rng, r, 1)[0]-1]++
	}
	requireP(t, chiSquared(counts, float64(draws())/float64(n)), n-1)
}

func requirePermutationsUniform(t *testing.T, sim simulate, n int) {
	rng, r := rand.New(rand.NewPCG(3, uint64(n))), rosterUpTo(n)
	seen := map[string]float64{}
	for range draws() {
		seen[fmt.Sprint(sim(rng, r, n))]++
	}
	require.Len(t, seen, 24)
	counts := make([]float64, 0, len(seen))
	for _, c := range seen {
		counts = append(counts, c)
	}
	requireP(t, chiSquared(counts, float64(draws())/24), 23)
}

// Weights are tickets: the first place falls to each entry in their proportion.
func TestWeightsAreProportional(t *testing.T) {
	r := rosterUpTo(4)
	for i, w := range []int64{1, 2, 3, 4} {
		r[i].Weight = w
	}
	for name, sim := range simulations() {
		if name == "public" {
			continue // every entry has one ticket there
		}
		rng := rand.New(rand.NewPCG(4, 4))
		x, n := 0.0, float64(draws())
		counts := make([]float64, 4)
		for range draws() {
			counts[sim(rng, r, 1)[0]-1]++
		}
		for i, c := range counts {
			e := n * float64(i+1) / 10
			x += (c - e) * (c - e) / e
		}
		requireP(t, x, 3)
	}
}

// A draw that is only a little uneven must not pass in a long run.
func TestChiSquaredFindsBias(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	counts := make([]float64, 20)
	for range 200_000 {
		// One byte modulo 20: 0 to 15 come 13 times in 256, the others 12.
		counts[rng.IntN(256)%20]++
	}
	require.Less(t, survival(chiSquared(counts, 10_000), 19), smallestP)
}

func chiSquared(counts []float64, expected float64) (x float64) {
	for _, c := range counts {
		x += (c - expected) * (c - expected) / expected
	}
	return x
}

func survival(x float64, df int) float64 { return distuv.ChiSquared{K: float64(df)}.Survival(x) }

func requireP(t *testing.T, x float64, df int) {
	t.Helper()
	p := survival(x, df)
	t.Logf("chi-squared %.1f, %d degrees of freedom, p = %.3f", x, df, p)
	require.Greater(t, p, smallestP)
	require.Less(t, p, 1-smallestP, "too even to be random")
}
