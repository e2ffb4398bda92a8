package challenge

import (
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"fairladle/challenge/ballot"
	"fairladle/challenge/draw"
	"fairladle/challenge/shortlist"
	"fairladle/challenge/tasting"
	"fairladle/challenge/wording"
)

// Kind is what happens in a round.
type Kind string

// The kinds of rounds.
const (
	Reading Kind = "reading" // entries are read blind and marked
	Pick    Kind = "pick"    // one person picks the finalists in one sitting
	Draw    Kind = "draw"    // chance decides, in public
	Cook    Kind = "cook"    // dishes become plates
	Tasting Kind = "tasting" // judges score plates
	Vote    Kind = "vote"    // the audience has its say
)

// Kinds lists every kind in the order of the usual run.
var Kinds = []Kind{Reading, Pick, Draw, Cook, Tasting, Vote}

// RoundState is where a round stands.
type RoundState string

// The states every round passes, whatever its kind.
const (
	Planned  RoundState = "planned"
	UnderWay RoundState = "open"
	Done     RoundState = "closed"
)

// A Round is one step of a challenge: what goes in is what the round before
// let through; what comes out is its placings.
type Round struct {
	ID        int64
	Challenge int64
	Position  int
	Kind      Kind
	Title     string
	State     RoundState
	Params    Params
	ReleaseAt time.Time // zero: the challenge's own
	OpenedAt  time.Time
	ClosedAt  time.Time
}

// Params are what a host decides about a round before it opens. Each kind
// reads its own part; the rest stays zero and is not written.
type Params struct {
	Keep       int           `json:"keep,omitempty"`        // reading, pick: how many go through
	Sealed     bool          `json:"sealed,omitempty"`      // pick: hidden from the host until opened
	Method     string        `json:"method,omitempty"`      // draw: "dice", "seeds" or "public"
	Faces      []int         `json:"faces,omitempty"`       // draw by dice: faces of each die
	Places     int           `json:"places,omitempty"`      // draw: the first and how many alternates
	Parties    []string      `json:"parties,omitempty"`     // draw by seeds: who gives a secret
	Minutes    int           `json:"minutes,omitempty"`     // draw by seeds: for sealing, and again for revealing
	Portions   int           `json:"portions,omitempty"`    // cook: how many tasters
	Rule       *tasting.Rule `json:"rule,omitempty"`        // tasting
	HostScores bool          `json:"host_scores,omitempty"` // tasting: the host's sheet counts
	PerJudge   int           `json:"per_judge,omitempty"`   // tasting: plates that each judge is served; 0: all
	VoteHours  int           `json:"vote_hours,omitempty"`  // vote: how long it stays open

	VoteMethod ballot.Method     `json:"vote_method,omitempty"` // vote: see Voting
	ByLink     bool              `json:"by_link,omitempty"`     // vote: only who was sent a private link may vote
	Final      *ballot.FinalRule `json:"final,omitempty"`       // vote: see FinalSay

	Sources []draw.Source `json:"sources,omitempty"`  // draw by public sources
	Later   *draw.Source  `json:"later,omitempty"`    // draw by seeds: the public value mixed in; none: dice decide
	OneEach bool          `json:"one_each,omitempty"` // draw: one entry of each person stands on the list

	PerEntry  int             `json:"per_entry,omitempty"`  // reading: readings that each entry gets; 0: every reader reads all
	HostReads bool            `json:"host_reads,omitempty"` // reading that is shared out: the host takes a share
	PickerToo bool            `json:"picker_too,omitempty"` // reading that is shared out: the co-host takes a share
	Cut       *shortlist.Rule `json:"cut,omitempty"`        // reading: how marks become the shortlist; see CutRule
}

// DefaultCut is the rule of a reading round that names no other: plain means,
// and entries level at the cut stay out unless the host moves them in.
var DefaultCut = shortlist.Rule{Kind: shortlist.Plain, AtCut: shortlist.TakeNone}

// CutRule is the rule by which a reading's marks become a shortlist.
func (p Params) CutRule() shortlist.Rule {
	if p.Cut == nil {
		return DefaultCut
	}
	return *p.Cut
}

// JSON is the stored and ledger form of the parameters.
func (p Params) JSON() []byte {
	b, err := json.Marshal(p)
	if err != nil {
		panic(fmt.Sprintf("round parameters hold only plain values: %v", err))
	}
	return b
}

// A Placing is one dish as it came out of a round.
type Placing struct {
	Dish    int64  `json:"dish"`
	Rank    int    `json:"rank"`
	Through bool   `json:"through"`
	Note    string `json:"note,omitempty"`
}

// Through lists the dishes that go on to the next round, best first.
func Through(ps []Placing) []int64 {
	var ids []int64
	for _, p := range ps {
		if p.Through {
			ids = append(ids, p.Dish)
		}
	}
	return ids
}

// UsualRun is the run of rounds a new challenge starts with.
func UsualRun() []Round {
	rule := DefaultRule()
	rs := []Round{
		{Kind: Reading, Title: wording.Key("Reading"), Params: Params{Keep: 10}},
		{Kind: Pick, Title: wording.Key("Pick of the finalists"), Params: Params{Keep: 2, Sealed: true}},
		{Kind: Draw, Title: wording.Key("Draw"), Params: Params{Method: "dice", Faces: []int{20}, Places: 2}},
		{Kind: Cook, Title: wording.Key("Cooking"), Params: Params{Portions: 6}},
		{Kind: Tasting, Title: wording.Key("Tasting"), Params: Params{Rule: &rule}},
		{Kind: Vote, Title: wording.Key("Audience vote"), Params: Params{VoteHours: 72}},
	}
	for i := range rs {
		rs[i].Position, rs[i].State = i+1, Planned
	}
	return rs
}

// NewRound is a round of a kind with the parameters of the usual run, for a
// host who repeats a step.
func NewRound(k Kind) (Round, error) {
	for _, r := range UsualRun() {
		if r.Kind == k {
			return r, nil
		}
	}
	return Round{}, Refuse(Invalid, "kind", "Choose one of the kinds of rounds in the list.")
}

// Check refuses parameters that cannot work for the round's kind.
func (r Round) Check() error {
	var bad Refusals
	if r.Title == "" {
		bad.Add("title", "Give the round a name.")
	}
	switch r.Kind {
	case Reading, Pick:
		if r.Params.Keep < 1 || r.Params.Keep > 1000 {
			bad.Add("keep", "Say how many recipes go through: a number from 1 to 1000.")
		}
		r.Params.checkReading(&bad)
	case Draw:
		r.Params.checkDraw(&bad)
	case Cook:
		if r.Params.Portions < 1 || r.Params.Portions > 500 {
			bad.Add("portions", "Say for how many tasters you cook: a number from 1 to 500.")
		}
	case Tasting:
		checkRule(*r.Params.Rule, &bad)
		if r.Params.PerJudge < 0 || r.Params.PerJudge > 100 {
			bad.Add("per_judge", "Say how many plates each judge tastes: a number up to 100, or 0 for all.")
		}
	case Vote:
		r.Params.checkVote(&bad)
	}
	return bad.Err()
}

func (p Params) checkReading(bad *Refusals) {
	if p.PerEntry < 0 || p.PerEntry > 20 {
		bad.Add("per_entry", "Say how many readers each recipe gets: 1 to 20, or 0 for every reader reading all.")
	}
	switch err := p.CutRule().Check(); {
	case errors.Is(err, shortlist.ErrCriteria):
		bad.Add("criteria", "At most %v criteria, one on a line, each with a name and, behind it, a whole weight from 1 to %v.", shortlist.MostCriteria, shortlist.MostWeight)
	case err != nil:
		bad.Add("cut", "Choose one of the rules in the list.")
	}
}
