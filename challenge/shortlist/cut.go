package shortlist

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fairladle/challenge/panel"
	"fairladle/challenge/wording"
)

// Line is one entry in the list of a reading round.
type Line struct {
	Entry    int64            `json:"entry"`
	Rank     int              `json:"rank"` // 1 is best; level entries share a rank; 0 = no reading yet
	In       bool             `json:"in"`
	Score    float64          `json:"score"` // by the rule, 0 (out) to 2 (keep); calibrated scores may lie a little outside
	Plain    float64          `json:"plain"` // mean mark
	SE       float64          `json:"se"`    // standard error of Score; 0 where it cannot be told, and before three readers overlap
	Readings int              `json:"readings"`
	Keep     int              `json:"keep"`
	Maybe    int              `json:"maybe"`
	Out      int              `json:"out"`
	Split    bool             `json:"split"` // somebody said keep and somebody said out
	Tied     bool             `json:"tied"`
	Group    int              `json:"group"` // entries of different groups share no readers, not even through others
	Reason   wording.Sentence `json:"reason"`
	at       int              // place in the list of entries
}

// Strictness is how a reader marks compared with the average reader.
type Strictness struct {
	Reader   int64   `json:"reader"`
	Readings int     `json:"readings"`
	Effect   float64 `json:"effect"` // below 0 = strict, above 0 = lenient, in steps between out and maybe
	SE       float64 `json:"se"`     // 0 where it cannot be told
}

// Shortlist is the outcome of a reading round.
type Shortlist struct {
	Rule      Rule               `json:"rule"`
	Used      Kind               `json:"used"` // Plain instead of Calibrated while fewer than three readers overlap
	Size      int                `json:"size"`
	Lines     []Line             `json:"lines"`               // best first; entries without a reading last
	Undecided []int64            `json:"undecided,omitempty"` // level at the cut, waiting for a recorded draw
	Places    int                `json:"places,omitempty"`    // how many of Undecided come in
	Near      []int64            `json:"near,omitempty"`      // worth one more reading, the most useful first
	Readers   []Strictness       `json:"readers,omitempty"`   // once three readers overlap
	Groups    int                `json:"groups"`              // 1 = all entries can be compared
	Instead   *Instead           `json:"instead,omitempty"`   // once three readers overlap
	Words     []wording.Sentence `json:"words"`
}

// Instead is what the other kind of score would change.
type Instead struct {
	Kind Kind    `json:"kind"`
	In   []int64 `json:"in"`  // would be in
	Out  []int64 `json:"out"` // would not
}

// ErrSize is returned for a shortlist of less than one entry.
var ErrSize = errors.New("a shortlist needs at least one place")

// Cut ranks entries by the rule and takes the best size of them. Readings of
// entries that are not listed (withdrawn, vetoed) do not count at all; of two
// readings by one reader of one entry the last counts. Level scores are parted
// by more keeps, then fewer outs; the rest is for Rule.AtCut.
func Cut(readings []Reading, entries []int64, size int, rule Rule) (Shortlist, error) {
	if err := rule.Check(); err != nil {
		return Shortlist{}, err
	}
	if size < 1 {
		return Shortlist{}, ErrSize
	}
	f, err := newField(readings, entries)
	if err != nil {
		return Shortlist{}, err
	}
	s := Shortlist{Rule: rule, Used: f.kind(rule), Size: size, Groups: f.groups()}
	s.Lines = f.lines(s.Used)
	s.order()
	s.cut()
	s.near()
	s.Readers = f.strictness()
	s.Instead = f.instead(s)
	for n := range s.Lines {
		s.Lines[n].Reason = s.Lines[n].reason(s.Used)
	}
	s.Words = s.sentences()
	return s, nil
}

// field is the readings that count.
type field struct {
	entries []int64
	table   *panel.Table // nil where nobody has read anything
	fit     *panel.Fit
	marks   map[int64][3]int // per entry: outs, maybes, keeps
	values  map[int64][]float64
}

func newField(readings []Reading, entries []int64) (*field, error) {
	f := &field{marks: make(map[int64][3]int, len(entries)), values: make(map[int64][]float64, len(entries))}
	for _, e := range entries {
		if _, twice := f.marks[e]; !twice {
			f.marks[e] = [3]int{}
			f.entries = append(f.entries, e)
		}
	}
	last := make(map[[2]int64]Reading, len(readings))
	var pairs [][2]int64
	for _, r := range readings {
		if _, listed := f.marks[r.Entry]; !listed {
			continue
		}
		if !r.Mark.Valid() {
			return nil, fmt.Errorf("entry %d, reader %d: %w", r.Entry, r.Reader, ErrMark)
		}
		key := [2]int64{r.Entry, r.Reader}
		if _, again := last[key]; !again {
			pairs = append(pairs, key)
		}
		last[key] = r
	}
	if len(pairs) == 0 {
		return f, nil
	}
	marks := make([]panel.Mark, len(pairs))
	for n, p := range pairs {
		r := last[p]
		counts := f.marks[p[0]]
		counts[r.Mark]++
		f.marks[p[0]] = counts
		f.values[p[0]] = append(f.values[p[0]], r.value())
		marks[n] = panel.Mark{Item: p[0], Rater: p[1], Value: r.value()}
	}
	for _, v := range f.values {
		slices.Sort(v) // sums must not depend on the order in which readings come in
	}
	var err error
	if f.table, err = panel.NewTable(marks); err != nil {
		return nil, err
	}
	f.fit, err = panel.Additive(f.table)
	return f, err
}

// overlapping reports whether at least three readers share entries with each
// other: before that there are no statistics.
func (f *field) overlapping() bool {
	if f.fit == nil {
		return false
	}
	count := make([]int, f.fit.Groups.Count)
	for _, g := range f.fit.Groups.Rater {
		count[g]++
	}
	return slices.Max(count) >= 3
}

func (f *field) kind(rule Rule) Kind {
	if !f.overlapping() {
		return Plain
	}
	return rule.Kind
}

func (f *field) groups() int {
	if f.fit == nil {
		return 0
	}
	return f.fit.Groups.Count
}

// lines scores every entry, in the order of the entries.
func (f *field) lines(kind Kind) []Line {
	at := map[int64]int{}
	var sd float64
	if f.table != nil {
		for n, e := range f.table.Items {
			at[e] = n
		}
		if f.overlapping() {
			sd = f.within()
		}
	}
	lines := make([]Line, len(f.entries))
	for n, e := range f.entries {
		c := f.marks[e]
		l := Line{at: n, Entry: e, Readings: c[Out] + c[Maybe] + c[Keep], Keep: c[Keep], Maybe: c[Maybe], Out: c[Out]}
		l.Split = l.Keep > 0 && l.Out > 0
		if l.Readings > 0 {
			l.Plain = mean(f.values[e])
			l.Score, l.SE = l.Plain, sd/math.Sqrt(float64(l.Readings))
			l.Group = f.fit.Groups.Item[at[e]]
			if kind == Calibrated {
				l.Score, l.SE = f.calibrated(at[e]), known(f.fit.SE(at[e]))
			}
		}
		lines[n] = l
	}
	return lines
}

// calibrated is the adjusted mean. Where readers fall into groups that nothing
// links, every group is taken to be equally good on average; the words say so.
func (f *field) calibrated(item int) float64 {
	if f.fit.Groups.Count == 1 {
		return f.fit.Adjusted[item]
	}
	return f.grand() + f.fit.Item[item]
}

func (f *field) grand() float64 {
	sum, n := 0., 0
	for _, e := range f.entries {
		for _, x := range f.values[e] {
			sum += x
			n++
		}
	}
	return sum / float64(n)
}

// within is the pooled standard deviation of marks of the same entry; 0 where
// no entry has two.
func (f *field) within() float64 {
	ss, df := 0., 0
	for _, e := range f.entries {
		m := mean(f.values[e])
		for _, x := range f.values[e] {
			ss += (x - m) * (x - m)
		}
		df += max(0, len(f.values[e])-1)
	}
	if df == 0 {
		return 0
	}
	return math.Sqrt(ss / float64(df))
}

func mean(xs []float64) float64 {
	sum := 0.
	for _, x := range xs {
		sum += x
	}
	return sum / float64(max(1, len(xs)))
}

func known(se float64) float64 {
	if math.IsNaN(se) || math.IsInf(se, 0) {
		return 0
	}
	return se
}

// instead makes the cut by the other kind. Entries that stand level at either
// cut are left aside.
func (f *field) instead(s Shortlist) *Instead {
	if !f.overlapping() {
		return nil
	}
	other := Shortlist{Rule: s.Rule, Size: s.Size}
	change := &Instead{Kind: Plain}
	if s.Used == Plain {
		change.Kind = Calibrated
	}
	other.Lines = f.lines(change.Kind)
	other.order()
	other.cut()
	open := slices.Concat(s.Undecided, other.Undecided)
	change.In = missingFrom(other.Chosen(), slices.Concat(s.Chosen(), open))
	change.Out = missingFrom(s.Chosen(), slices.Concat(other.Chosen(), open))
	return change
}

func missingFrom(list, other []int64) []int64 {
	known := make(map[int64]bool, len(other))
	for _, e := range other {
		known[e] = true
	}
	return slices.DeleteFunc(slices.Clone(list), func(e int64) bool { return known[e] })
}

func (f *field) strictness() []Strictness {
	if !f.overlapping() {
		return nil
	}
	count := map[int64]int{}
	for _, m := range f.table.Marks() {
		count[m.Rater]++
	}
	s := make([]Strictness, len(f.table.Raters))
	for n, r := range f.table.Raters {
		s[n] = Strictness{r, count[r], f.fit.Rater[n], known(f.fit.SERater(n))}
	}
	return s
}
