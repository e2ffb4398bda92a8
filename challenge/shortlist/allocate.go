package shortlist

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"

	"fairladle/challenge/panel"
	"fairladle/challenge/wording"
)

// Pair is one entry in front of one reader.
type Pair struct {
	Entry  int64 `json:"entry"`
	Reader int64 `json:"reader"`
}

// Request is what a plan of readings starts from. After a reader drops out or
// joins, or an entry comes late, ask again: with Done holding every reading
// made or begun, and Readers those who go on.
type Request struct {
	Entries  []int64
	Readers  []int64  // who can be given more
	PerEntry int      // readings that each entry must get, those in Done included
	Excluded []Pair   // conflicts of interest, a reader's own entry
	Done     []Pair   // readings that stand; they count for loads and are never handed out again
	Seed     [32]byte // random bytes, kept with the plan so that it can be made again
}

// Plan says who reads what.
type Plan struct {
	Lists        []List             `json:"lists"`           // one per reader, in the order of Request.Readers
	Short        []Shortfall        `json:"short,omitempty"` // entries that cannot get their readings
	Connected    bool               `json:"connected"`       // all readers can be compared, directly or through others
	FewestShared int                `json:"fewestShared"`    // entries that the two readers have in common who share the fewest
	MostShared   int                `json:"mostShared"`
	Words        []wording.Sentence `json:"words"`
}

// List is one reader's new entries, in the order to read them.
type List struct {
	Reader  int64   `json:"reader"`
	Entries []int64 `json:"entries"`
	Load    int     `json:"load"` // with the readings done
}

// Shortfall is an entry that no reader is left for.
type Shortfall struct {
	Entry   int64 `json:"entry"`
	Missing int   `json:"missing"`
}

// What can be wrong with a request.
var (
	ErrPerEntry  = errors.New("each entry needs at least one reading, and can get no more than there are readers")
	ErrNoReaders = errors.New("there is no reader to give entries to")
	ErrListed    = errors.New("an entry or a reader is listed twice")
)

// Allocate shares entries out. Entries are the blocks of the design and
// readers its treatments: loads differ by at most one and every entry gets its
// readings wherever exclusions and readings done allow it at all; every two
// readers share as equal a number of entries as can be found (a balanced
// incomplete block design where the search meets one); and each reader meets
// entries in an order of his or her own, late ones early for somebody else.
func Allocate(r Request) (Plan, error) {
	if err := r.check(); err != nil {
		return Plan{}, err
	}
	d := panel.NewDesign(r.blocks(), r.Seed)
	p := Plan{Connected: d.Connected}
	p.FewestShared, p.MostShared = d.SharedRange()
	held := make([][]int, len(r.Readers))
	for e, readers := range d.Given {
		for _, j := range readers {
			held[j] = append(held[j], e)
		}
		if d.Short[e] > 0 {
			p.Short = append(p.Short, Shortfall{r.Entries[e], d.Short[e]})
		}
	}
	random := rand.New(rand.NewChaCha8(r.Seed))
	for _, list := range held {
		random.Shuffle(len(list), func(a, b int) { list[a], list[b] = list[b], list[a] })
	}
	spreadPlaces(held, len(r.Entries), random)
	for j, reader := range r.Readers {
		list := List{Reader: reader, Load: d.Load[j], Entries: make([]int64, len(held[j]))}
		for k, e := range held[j] {
			list.Entries[k] = r.Entries[e]
		}
		p.Lists = append(p.Lists, list)
	}
	p.Words = p.sentences(r)
	return p, nil
}

// blocks is the request under dense indices. A reading by somebody who has
// left counts for its entry; a reading of an entry that has left counts for
// the reader's load.
func (r Request) blocks() panel.Blocks {
	entry, reader := index(r.Entries), index(r.Readers)
	b := panel.Blocks{
		Blocks: len(r.Entries), Treatments: len(r.Readers), Size: r.PerEntry,
		Extra: make([]int, len(r.Entries)), Load: make([]int, len(r.Readers)),
	}
	for _, p := range r.Excluded {
		e, known := entry[p.Entry]
		if j, on := reader[p.Reader]; known && on {
			b.Barred = append(b.Barred, [2]int{e, j})
		}
	}
	seen := map[Pair]bool{}
	for _, p := range r.Done {
		if seen[p] {
			continue
		}
		seen[p] = true
		e, known := entry[p.Entry]
		j, on := reader[p.Reader]
		switch {
		case known && on:
			b.Done = append(b.Done, [2]int{e, j})
		case known:
			b.Extra[e]++
		case on:
			b.Load[j]++
		}
	}
	return b
}

func index(ids []int64) map[int64]int {
	at := make(map[int64]int, len(ids))
	for n, id := range ids {
		at[id] = n
	}
	return at
}

func (r Request) check() error {
	if len(r.Readers) == 0 {
		return ErrNoReaders
	}
	if r.PerEntry < 1 || r.PerEntry > len(r.Readers) && len(r.Done) == 0 {
		return fmt.Errorf("%d readings, %d readers: %w", r.PerEntry, len(r.Readers), ErrPerEntry)
	}
	for _, ids := range [][]int64{r.Entries, r.Readers} {
		s := slices.Sorted(slices.Values(ids))
		if len(slices.Compact(s)) < len(ids) {
			return ErrListed
		}
	}
	return nil
}
