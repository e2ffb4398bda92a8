package tasting

import (
	"errors"
	"math/big"
	"slices"

	"fairladle/challenge/wording"
)

// board is the sheets that count, under dense indices.
type board struct {
	ruler  ruler
	plates []int64
	judges []int64   // ascending
	sheets []tasted  // ordered by plate, then judge
	start  []int     // sheets[start[p]:start[p+1]] are plate p's
	left   []LeftOut // what does not count
	source []Sheet   // the caller's
}

type tasted struct {
	plate, judge int32
	mark         fraction
	sheet        int32 // index into board.source
}

// newBoard sorts sheets in. Of several sheets by one judge for one plate the
// last counts: it is the amended one, or the same one sent again.
func newBoard(r ruler, missing Missing, plates []int64, sheets []Sheet) *board {
	b := &board{ruler: r, plates: plates, source: sheets}
	plateAt := make(map[int64]int32, len(plates))
	for n, p := range plates {
		plateAt[p] = int32(n)
	}
	counting := make([]int32, 0, len(sheets))
	for n := range sheets {
		if reason := refuse(&sheets[n], r.criteria, missing, plateAt); reason != "" {
			b.left = append(b.left, LeftOut{sheets[n].Judge, sheets[n].Plate, reason})
			continue
		}
		counting = append(counting, int32(n))
		b.judges = append(b.judges, sheets[n].Judge)
	}
	slices.Sort(b.judges)
	b.judges = slices.Clip(slices.Compact(b.judges))
	judgeAt := make(map[int64]int32, len(b.judges))
	for n, j := range b.judges {
		judgeAt[j] = int32(n)
	}
	b.sheets = make([]tasted, len(counting))
	for n, at := range counting {
		s := &sheets[at]
		b.sheets[n] = tasted{plateAt[s.Plate], judgeAt[s.Judge], r.mark(*s), at}
	}
	slices.SortStableFunc(b.sheets, func(x, y tasted) int {
		if x.plate != y.plate {
			return int(x.plate - y.plate)
		}
		return int(x.judge - y.judge)
	})
	b.keepLast()
	b.index()
	return b
}

func refuse(s *Sheet, criteria []Criterion, missing Missing, plateAt map[int64]int32) string {
	if _, served := plateAt[s.Plate]; !served {
		return ErrUnknownPlate.Error()
	}
	if err := s.Check(criteria); err != nil {
		return err.Error()
	}
	if missing == DropSheet && len(s.Scores) < len(criteria) {
		return errGap.Error()
	}
	return ""
}

var errGap = errors.New(wording.Key("the sheet leaves a criterion out, and the rule counts whole sheets only"))

func (b *board) keepLast() {
	kept := b.sheets[:0]
	for n, s := range b.sheets {
		if n+1 < len(b.sheets) && b.sheets[n+1].plate == s.plate && b.sheets[n+1].judge == s.judge {
			continue
		}
		kept = append(kept, s)
	}
	b.sheets = kept
}

func (b *board) index() {
	b.start = make([]int, len(b.plates)+1)
	for _, s := range b.sheets {
		b.start[s.plate+1]++
	}
	for p := range b.plates {
		b.start[p+1] += b.start[p]
	}
}

func (b *board) of(plate int) []tasted { return b.sheets[b.start[plate]:b.start[plate+1]] }

// byJudge lists each judge's sheets as indices into b.sheets.
func (b *board) byJudge() [][]int32 {
	lists := make([][]int32, len(b.judges))
	for n, s := range b.sheets {
		lists[s.judge] = append(lists[s.judge], int32(n))
	}
	return lists
}

// criterionSum adds a plate's scores on one criterion, in units of the ruler
// (raw: in hundredths of a point of the criterion's own scale).
func (b *board) criterionSum(plate, criterion int, raw bool) (sum int64, n int) {
	key := b.ruler.criteria[criterion].Key
	for _, s := range b.of(plate) {
		p, found := b.source[s.sheet].Scores[key]
		if !found {
			continue
		}
		n++
		if raw {
			sum += int64(p)
		} else {
			sum += b.ruler.value(criterion, p)
		}
	}
	return sum, n
}

// means are a plate's plain means by criterion.
func (b *board) means(plate int) []Mean {
	means := make([]Mean, len(b.ruler.criteria))
	for c := range means {
		means[c] = b.criterionMean(plate, c)
	}
	return means
}

// criterionMean is a plate's plain mean on one criterion; Exact is nil where
// nobody scored it.
func (b *board) criterionMean(plate, criterion int) Mean {
	m := Mean{Key: b.ruler.criteria[criterion].Key, Name: b.ruler.criteria[criterion].Name}
	if sum, n := b.criterionSum(plate, criterion, true); n > 0 {
		m.Exact, m.Sheets = big.NewRat(sum, 100*int64(n)), n
		m.Mean, _ = m.Exact.Float64()
	}
	return m
}
