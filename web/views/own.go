package views

import (
	"context"
	"time"

	"fairladle/challenge"
	"fairladle/store"
)

type OwnPage struct {
	Frame     Frame
	Own       store.Own
	Base      string
	Link      string
	Stage     challenge.Stage
	MayChange bool
	Reading   Reading
	Lists     []store.Standing // of the draws whose list is fixed
	Bar       *store.Bar       // why the entry takes no part, nil where it does
	Questions []store.Question
	Told      store.Told
	Cooked    *store.CookedPage // the cook's part, where it may be read; nil otherwise
	Public    bool              // it is public
	Answer    string            // as typed
	Prize     *store.OwnPrize   // nil for none
	Outcome   *store.OwnLine    // as far as it is public; nil before
	Address   string            // for the prize, as typed
	Now       time.Time
	KeptDays  int // after the results; 0 for no end
	Messages  Messages
}

func (p OwnPage) given() map[challenge.ConsentKind]bool {
	g := map[challenge.ConsentKind]bool{}
	for k, c := range p.Own.Consents {
		g[k] = c.Given
	}
	return g
}

type LinkAgainPage struct {
	Frame     Frame
	Slug      string
	Challenge string
	Email     string
	Messages  Messages
}

type ChallengePage struct {
	Frame        Frame
	Challenge    challenge.Challenge
	Stage        challenge.Stage
	Shows        challenge.Showing
	Brief, Rules string // rendered
	TakesEntries bool
	Listed       bool // the list of all entries is fixed
	Rounds       []PublicRound
	Now          time.Time
	Theme        *store.ThemeVote // on what comes next; nil for none
	Season       *store.Season
}

// A PublicRound is a round as the public sees it.
type PublicRound struct {
	Round   challenge.Round
	Release time.Time
	Shown   bool // its outcome is public
	Open    bool
}

// StageSentence says where a challenge stands.
func StageSentence(ctx context.Context, p ChallengePage) string {
	v := voice(ctx)
	switch p.Stage {
	case challenge.Waiting:
		return v.T("Opens %v", v.Moment(p.Challenge.OpensAt))
	case challenge.Open:
		return v.T("Open until %v", v.Moment(p.Challenge.ClosesAt))
	case challenge.Finished:
		return v.T("Finished")
	case challenge.Draft:
		return ""
	}
	return v.T("Entries are in")
}

// publicDoes says what happens in a kind of round, for the public.
func publicDoes(k challenge.Kind) string {
	return map[challenge.Kind]string{
		challenge.Reading: "Every recipe is read without its author's name and marked; the best go on.",
		challenge.Pick:    "One person picks the finalists from the shortlist and seals the choice.",
		challenge.Draw:    "Chance decides among the finalists, in a way anyone can check.",
		challenge.Cook:    "The drawn recipe is cooked, beside the host's own dish.",
		challenge.Tasting: "Judges taste under blind codes and score.",
		challenge.Vote:    "The audience chooses.",
	}[k]
}

func listPage(slug string, position int) string {
	if position == 0 {
		return "/c/" + slug + "/list"
	}
	return "/c/" + slug + "/draw/" + itoa(position)
}

func listTitle(ctx context.Context, l store.Standing) string {
	if l.Position == 0 {
		return t(ctx, "The list of all entries")
	}
	return l.Title
}

// outWords tells the entrant why an entry is not in a list.
func outWords(c store.Cause) string {
	return map[store.Cause]string{
		store.OutWithdrawn: "It was withdrawn.",
		store.OutBarred:    "The host took it out.",
		store.OutBefore:    "It did not come so far.",
		store.OutStoodBack: "Every person has one chance in this draw, and another of your entries was drawn for the list.",
		store.OutLater:     "It was received after the list was fixed.",
	}[c]
}

// A ListPage is the list of all entries as it stood when entries closed.
type ListPage struct {
	Frame     Frame
	Slug      string
	Challenge string
	List      store.ClosingList
	Stretch   Stretch
	Key       string
}

// A Stretch is the part of a long list that a page shows: lines From to To,
// from 0, the last not included.
type Stretch struct{ From, To int }

// MostNumbers is how many lines of a list one page shows.
const MostNumbers = 1000

// NewStretch begins where it is asked to, within a list of size lines.
func NewStretch(from, size int) Stretch {
	from = max(0, min(from, size-1))
	return Stretch{from, min(from+MostNumbers, size)}
}

func (s Stretch) before() int { return max(0, s.From-MostNumbers) }
