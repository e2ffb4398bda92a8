package views

import (
	"context"
	"fmt"
	"math"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
	"fairladle/store"
)

// A TastingPage is a tasting as its host sees it. Before the closing it has
// Table, and nothing of what any sheet says.
type TastingPage struct {
	Frame     Frame
	Base      string // of the round
	Desk      string
	Challenge challenge.Challenge
	Round     challenge.Round
	Table     store.Table
	Result    *store.TastingResult // once it is closed
	Public    bool                 // the outcome is released
	MayOpen   error                // why it cannot be opened now
	Judges    []store.Participant  // who can be kept from a dish
	Dishes    []store.Dish
	Conflicts []store.Conflict
	// Connections are what judges declared; the host decides.
	Connections []store.Connection
	Postponed   []store.Postponement
	Until       string // typed, of a postponement
	Today       string // YYYY-MM-DD, where the challenge is
	Messages    Messages
	At          int // code of the plate the messages belong to
	Reason      string
}

func (p TastingPage) rule() tasting.Rule { return *p.Round.Params.Rule }

// short says that fewer judges have handed in than the smallest panel.
func (p TastingPage) short() bool { return p.Table.Judges < p.rule().SmallestPanel }

// waits says that the tasting can only be put off, not closed.
func (p TastingPage) waits() bool {
	if !p.short() || p.rule().Below != tasting.Postpone {
		return false
	}
	return len(p.Postponed) == 0 || p.Today < p.Postponed[len(p.Postponed)-1].Until
}

// CodesPage is one of the two printed lists.
type CodesPage struct {
	Frame Frame
	Back  string
	Round challenge.Round
	Table store.Table
	Diets []store.DietCheck // on the kitchen's list alone
}

// HostNotesPage is where a host who does not score keeps notes.
type HostNotesPage struct {
	Frame    Frame
	Back     string
	Round    challenge.Round
	Plates   []store.Plate
	Notes    map[int64]store.HostNote
	Messages Messages
}

func dishLine(ctx context.Context, d store.Dish) string {
	if d.Kind == "house" {
		return t(ctx, "house dish: %v", d.Title)
	}
	return t(ctx, "No. %v: %v", d.Number, d.Title)
}

func belowText(b tasting.Below) string {
	return map[tasting.Below]string{
		"":                 "With fewer, the rules do not say what happens.",
		tasting.StandIns:   "With fewer, stand-ins at the table may score.",
		tasting.Postpone:   "With fewer, the tasting is postponed.",
		tasting.ToAudience: "With fewer, the audience decides alone.",
		tasting.NotesOnly:  "With fewer, there are tasting notes and no verdict.",
	}[b]
}

// scoreText writes a score in its unit, to two places.
func scoreText(p tasting.Place, u tasting.Unit) string {
	switch {
	case p.Rank == 0:
		return "–"
	case u == tasting.UnitPercent:
		return fmt.Sprintf("%.1f %%", p.Score)
	case u == tasting.UnitSD:
		return fmt.Sprintf("%+.2f", p.Score)
	case u == tasting.UnitShare:
		return fmt.Sprintf("%.0f %%", 100*p.Score)
	}
	return fmt.Sprintf("%.2f", p.Score)
}

func unitText(u tasting.Unit) string {
	return map[tasting.Unit]string{
		tasting.UnitPoints:  "points",
		tasting.UnitPercent: "per cent of the scale",
		tasting.UnitSD:      "standard deviations above a judge's own mean",
		tasting.UnitShare:   "of the other plates beaten",
	}[u]
}

func meanText(m tasting.Mean) string {
	if m.Sheets == 0 {
		return "–"
	}
	return fmt.Sprintf("%.2f", m.Mean)
}

// A Profile is a chart of one plate's means by criterion.
type Profile struct {
	Title string
	Bars  []Bar
}

// A Bar is a value between two ends, with its number beside it.
type Bar struct {
	Name           string
	Low, High, Is  float64
	Text           string
	Missing, First bool
}

func (b Bar) attr(x float64) string { return fmt.Sprintf("%g", math.Round(x*100)/100) }

// profile draws a plate's means.
func profile(title string, criteria []tasting.Criterion, means []tasting.Mean) Profile {
	p := Profile{Title: title}
	for i, c := range criteria {
		if i >= len(means) {
			break
		}
		p.Bars = append(p.Bars, Bar{Name: c.Name, Low: float64(c.Scale.Min) / 100, High: float64(c.Scale.Max) / 100, Is: means[i].Mean,
			Text: meanText(means[i]), Missing: means[i].Sheets == 0})
	}
	return p
}

func tieText(ctx context.Context, b tasting.TieBreak, criteria []tasting.Criterion) string {
	if key, named := b.Criterion(); named {
		for _, c := range criteria {
			if c.Key == key {
				return t(ctx, "same score; parted by %v", c.Name)
			}
		}
	}
	switch b {
	case tasting.HeadToHead:
		return t(ctx, "same score; parted head to head")
	case tasting.LowestVariance:
		return t(ctx, "same score; the judges differed less")
	case tasting.Draw:
		return t(ctx, "same score; parted by a recorded draw")
	}
	return ""
}

func seatName(ctx context.Context, s store.Seat) string {
	if s.Role == challenge.Host {
		return t(ctx, "you, the host")
	}
	return s.Name
}

func seatNeutral(ctx context.Context, s store.Seat) string {
	if s.Role == challenge.Host {
		return t(ctx, "the host")
	}
	return s.Name
}

func decimals(x float64) string {
	if math.Abs(x) < .001 && x != 0 {
		return fmt.Sprintf("%.1g", x)
	}
	return fmt.Sprintf("%.3f", x)
}
