package shortlist_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/shortlist"
)

// season is one simulated reading round of 200 entries with known qualities.
type season struct {
	readers, perEntry int
	strictness        float64 // SD of readers' strictness, in SDs of quality
	noise             float64 // SD of a single judgement
}

// play lets readers mark, and counts how many of the true best ten are on the
// plain and on the calibrated shortlist of ten. A reader says keep above 1 and
// out below 0 on the scale of qualities (SD 1), as he or she sees them. Entries
// level at the cut count by their share of the places left.
func (s season) play(seed uint64) (plainHits, calibratedHits float64) {
	random := rand.New(rand.NewPCG(seed, 7))
	entries := numbers(200)
	quality := make([]float64, 201)
	for e := range quality {
		quality[e] = random.NormFloat64()
	}
	best := slices.SortedFunc(slices.Values(entries), func(a, b int64) int {
		if quality[a] > quality[b] {
			return -1
		}
		return 1
	})[:10]
	plan, err := shortlist.Allocate(shortlist.Request{Entries: entries, Readers: readersFrom51(s.readers), PerEntry: s.perEntry, Seed: [32]byte{byte(seed), byte(seed >> 8)}})
	if err != nil {
		panic(err)
	}
	var readings []shortlist.Reading
	for _, list := range plan.Lists {
		strict := s.strictness * random.NormFloat64()
		for _, e := range list.Entries {
			seen, mark := quality[e]-strict+s.noise*random.NormFloat64(), shortlist.Maybe
			if seen > 1 {
				mark = shortlist.Keep
			} else if seen < 0 {
				mark = shortlist.Out
			}
			readings = append(readings, shortlist.Reading{Entry: e, Reader: list.Reader, Mark: mark})
		}
	}
	return s.hits(readings, entries, best, plain), s.hits(readings, entries, best, calibrated)
}

func (s season) hits(readings []shortlist.Reading, entries, best []int64, rule shortlist.Rule) float64 {
	list, err := shortlist.Cut(readings, entries, 10, rule)
	if err != nil {
		panic(err)
	}
	n := 0.
	for _, e := range list.Chosen() {
		if slices.Contains(best, e) {
			n++
		}
	}
	for _, e := range list.Undecided {
		if slices.Contains(best, e) {
			n += float64(list.Places) / float64(len(list.Undecided))
		}
	}
	return n
}

func (s season) mean(seasons int) (plainHits, calibratedHits float64) {
	for k := range seasons {
		p, c := s.play(uint64(k))
		plainHits += p / float64(seasons)
		calibratedHits += c / float64(seasons)
	}
	return plainHits, calibratedHits
}

// The figures are printed by:
// go test ./challenge/shortlist -run none -bench Simulation -benchtime 1x
func BenchmarkSimulation(b *testing.B) {
	for _, c := range []struct {
		name string
		season
	}{
		{"6readers-3each-strictness0", season{6, 3, 0, .7}},
		{"6readers-3each-strictness0.5", season{6, 3, .5, .7}},
		{"6readers-3each-strictness1", season{6, 3, 1, .7}},
		{"12readers-3each-strictness1", season{12, 3, 1, .7}},
		{"12readers-5each-strictness1", season{12, 5, 1, .7}},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				p, q := c.mean(200)
				b.ReportMetric(p, "plain/10")
				b.ReportMetric(q, "calibrated/10")
			}
		})
	}
}

func TestCalibrationFindsMoreOfTheBest(t *testing.T) {
	p, c := season{6, 3, 1, .7}.mean(40)
	require.Greater(t, c, p, "of the true best ten, found by plain means and by calibration")
}

// Where readers do not differ, calibration must not cost much.
func TestCalibrationCostsLittleWhereReadersAgree(t *testing.T) {
	p, c := season{6, 3, 0, .7}.mean(40)
	require.InDelta(t, p, c, .35)
}
