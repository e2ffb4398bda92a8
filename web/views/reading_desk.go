package views

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/shortlist"
	"fairladle/challenge/wording"
	"fairladle/store"
)

// A ReadingPage is one entry on a reader's desk. It has no field for a name.
type ReadingPage struct {
	Frame    Frame
	Base     string // of the round
	Title    string
	Open     bool // marks are taken
	Mine     bool // it is among the entries that the asker reads
	Recipe   store.Recipe
	Reading  Reading
	Effort   store.Effort
	Answers  []store.Question
	Criteria []shortlist.Criterion // of the round; none: one mark for the whole
	Step     store.Step
	Position int
	Total    int
	Done     int
	Previous string // addresses, empty for none
	NextOne  string
	Reason   string // of a conflict that was not taken
	Messages Messages
}

// here is the address of the entry on the desk.
func (p ReadingPage) here() string { return StepPath(p.Base, p.Step) }

// answerWords are the answers to a criterion, by what they count.
var answerWords = []string{wording.Key("weak"), wording.Key("fair"), wording.Key("strong")}

func answerField(i int) string { return "answer-" + strconv.Itoa(i) }

func (p ReadingPage) answered(i, value int) bool {
	return i < len(p.Step.Answers) && p.Step.Answers[i] == value
}

// criteriaText is how criteria are typed: one a line, its weight behind.
func criteriaText(cs []shortlist.Criterion) string {
	var b strings.Builder
	for _, c := range cs {
		fmt.Fprintf(&b, "%s %d\n", c.Name, c.Weight)
	}
	return b.String()
}

// StepPath is the desk page of an entry in a reader's order.
func StepPath(base string, s store.Step) string {
	if s.Again {
		return base + "/again/" + strconv.Itoa(s.Dish.Number)
	}
	return base + "/" + strconv.Itoa(s.Dish.Number)
}

// A ReadingList is where a reader begins and sees how far he or she is.
type ReadingList struct {
	Frame    Frame
	Base     string
	Round    challenge.Round
	Share    store.Share
	Next     string // address of the first unmarked entry, empty for none
	MayCut   bool
	Progress []store.ReaderProgress
	Late     int // entries that came after the opening
	Outlook  store.Outlook
	Desk     string
	Plan     RoundsPage         // the form of a planned round
	MayOpen  bool               // the round can be opened now
	NotYet   *challenge.Refusal // why not; nil where that needs no words
	Messages Messages
}

// mostListed is how many of a reader's entries the start page lists.
const mostListed = 400

// listed are the steps the page lists: the first ones of a very long share.
func (p ReadingList) listed() []store.Step {
	return p.Share.Steps[:min(len(p.Share.Steps), mostListed)]
}

// rest says about how long the rest takes.
func (p ReadingList) rest(ctx context.Context) string {
	if p.Share.Pace == 0 || p.Share.Done == len(p.Share.Steps) {
		return ""
	}
	v := voice(ctx)
	return v.T("About %v a recipe so far; at this pace the rest takes about %v.", paceText(ctx, p.Share.Pace), v.Minutes(max(1, int(p.Share.Left().Round(time.Minute).Minutes()))))
}

func paceText(ctx context.Context, d time.Duration) string {
	if d < 2*time.Minute {
		return t(ctx, "%v seconds", int(d.Seconds()))
	}
	return voice(ctx).Minutes(int(d.Minutes()))
}

// costText is what the ingredients cost, and a portion where that can be told.
func costText(ctx context.Context, e store.Effort) string {
	money := func(x float64) string { return strings.TrimSpace(e.Currency + " " + voice(ctx).Decimal(x, 2)) }
	total := e.Cost.Total.Float()
	if e.Servings.Sign() <= 0 {
		return t(ctx, "about %v", money(total))
	}
	return t(ctx, "about %v, %v a portion", money(total), money(total/e.Servings.Float()))
}

// aboutMinutes writes an estimate no finer than it is.
func aboutMinutes(ctx context.Context, m int) string {
	if m > 30 {
		m = (m + 2) / 5 * 5
	}
	return voice(ctx).Minutes(m)
}
