package ballot

import (
	"fmt"
	"slices"

	"fairladle/challenge/wording"
)

// Result is the outcome of a vote. Ballots = Counted + Blank + Spoilt.
type Result struct {
	Method  Method `json:"method"`
	Ballots int    `json:"ballots"`
	Counted int    `json:"counted"` // name at least one option that stands
	Blank   int    `json:"blank"`   // name none, or only options withdrawn since
	Spoilt  int    `json:"spoilt"`  // name an option twice, or two where one is allowed

	Counts []Count `json:"counts"`           // votes; first choices where the method ranks; in the order of the options
	Rounds []Round `json:"rounds,omitempty"` // instant run-off
	Pairs  [][]int `json:"pairs,omitempty"`  // Pairs[x][y]: ballots that put option x above option y
	Paths  [][]int `json:"paths,omitempty"`  // Schulze: strength of the strongest path

	Order [][]int64 `json:"order"`               // best first; options in one group stand level
	Level [][]int64 `json:"needsDraw,omitempty"` // ties that votes leave, by this name in the records of closed votes
	Words []string  `json:"words"`
}

// Count is an option's votes.
type Count struct {
	Option int64 `json:"option"`
	Votes  int   `json:"votes"`
}

// Winner is the one option in front; ok is false where several are level.
func (r Result) Winner() (option int64, ok bool) {
	if len(r.Order) == 0 || len(r.Order[0]) != 1 {
		return 0, false
	}
	return r.Order[0][0], true
}

// tallySheet is ballots under dense indices of the options.
type tallySheet struct {
	options []int64
	flat    []int16
	start   []int32 // ballot b is flat[start[b]:start[b+1]]
}

// Counting counts ballots that Method.Check accepted when they were cast. An
// option withdrawn since is simply left out of options: it is passed over on
// every ballot. The error wraps ErrMethod or ErrOptions.
func Counting(m Method, options []int64, ballots []Ballot) (Result, error) {
	if !slices.Contains(Methods(), m) {
		return Result{}, fmt.Errorf("%q: %w", string(m), ErrMethod)
	}
	at := make(map[int64]int16, len(options))
	for n, o := range options {
		at[o] = int16(n)
	}
	if len(options) == 0 || len(at) < len(options) || len(options) > 10_000 {
		return Result{}, ErrOptions
	}
	r := Result{Method: m, Ballots: len(ballots)}
	s := r.sort(at, options, ballots)
	r.Counts = s.counts(s.votes(m))
	switch m {
	case OneChoice, Approval:
		r.byVotes(s, s.votes(m))
	case Runoff:
		r.runoff(s)
	case Schulze:
		r.schulze(s)
	}
	r.Words = wording.English(r.Sentences(OptionNumber))
	return r, nil
}

// sort reads the ballots and counts which of them can count.
func (r *Result) sort(at map[int64]int16, options []int64, ballots []Ballot) *tallySheet {
	s := &tallySheet{options: options, start: []int32{0}}
	seen := make([]int, len(options))
	for n, b := range ballots {
		first, spoilt := len(s.flat), false
		for _, o := range b {
			k, standing := at[o]
			if !standing {
				continue
			}
			spoilt = spoilt || seen[k] == n+1
			seen[k] = n + 1
			s.flat = append(s.flat, k)
		}
		spoilt = spoilt || r.Method == OneChoice && len(b) > 1
		switch {
		case spoilt:
			r.Spoilt++
			s.flat = s.flat[:first]
		case len(s.flat) == first:
			r.Blank++
		default:
			r.Counted++
			s.start = append(s.start, int32(len(s.flat)))
		}
	}
	return s
}

func (s *tallySheet) len() int             { return len(s.start) - 1 }
func (s *tallySheet) ballot(n int) []int16 { return s.flat[s.start[n]:s.start[n+1]] }

// votes counts first choices, or every name on the ballot for approval.
func (s *tallySheet) votes(m Method) []int {
	votes := make([]int, len(s.options))
	for n := range s.len() {
		b := s.ballot(n)
		if m != Approval {
			b = b[:1]
		}
		for _, k := range b {
			votes[k]++
		}
	}
	return votes
}

func (s *tallySheet) counts(votes []int) []Count {
	c := make([]Count, len(votes))
	for k, v := range votes {
		c[k] = Count{s.options[k], v}
	}
	return c
}

// byVotes orders the options by votes.
func (r *Result) byVotes(s *tallySheet, votes []int) {
	order := make([]int, len(votes))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(x, y int) int { return votes[y] - votes[x] })
	for lo := 0; lo < len(order); {
		hi := lo + 1
		for hi < len(order) && votes[order[hi]] == votes[order[lo]] {
			hi++
		}
		r.place(s, order[lo:hi])
		lo = hi
	}
}

// place appends options that votes leave level.
func (r *Result) place(s *tallySheet, level []int) {
	group := s.numbers(level)
	r.Order = append(r.Order, group)
	if len(group) > 1 {
		r.Level = append(r.Level, group)
	}
}

func (s *tallySheet) numbers(options []int) []int64 {
	ids := make([]int64, len(options))
	for n, k := range options {
		ids[n] = s.options[k]
	}
	return ids
}
