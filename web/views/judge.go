package views

import (
	"fairladle/challenge/tasting"
	"fairladle/store"
)

// A JudgeDesk is where a judge begins. Neither it nor a sheet has a field for
// a dish, an entry's number, a cook or another judge.
type JudgeDesk struct {
	Frame     Frame
	Challenge string
	Name      string // the judge's own
	Base      string
	Judge     bool // and no host who scores
	Credit    string
	Pictures  bool
	// MayDeclare: a tasting is still to come or open.
	MayDeclare bool
	Diet       store.Diet
	Agreed     bool
	Messages   Messages
	Tables     []JudgeTable
	// Connections are what the judge declared.
	Connections []store.Connection
	Connection  string // what was typed
}

// A JudgeTable is one tasting with the plates in this judge's order.
type JudgeTable struct {
	Title  string
	Base   string // of its sheets
	Open   bool
	Tie    bool
	Plates []store.ServedPlate
	Keys   []string // under which the device keeps each sheet
	Sealed int
	Pack   string // address of the home-tasting pack; empty at the table
	// Postponed is how the tasting was put off.
	Postponed []store.Postponement
}

// next is the index of the first plate that is not sealed, -1 for none.
func (t JudgeTable) next() int {
	for i, p := range t.Plates {
		if !p.Sealed {
			return i
		}
	}
	return -1
}

// pauseAfter says whether this plate is the last one done, and the next has not
// been begun.
func (t JudgeTable) pauseAfter(i int) bool {
	return t.Open && !t.Tie && t.Plates[i].Sealed && i+1 == t.next() && !t.Plates[i+1].Begun
}

// A SheetPage is one judge's form for one plate.
type SheetPage struct {
	Frame    Frame
	Desk     string // back to the judge's plates
	Action   string
	Round    string
	Code     int
	Position int
	Total    int
	Revision int
	Open     bool // scores can be changed
	Sealed   string
	Over     bool // the tasting has been closed
	TakenOut bool
	MayAmend bool // sealed, and the tasting is open
	Amending bool
	Amended  []string // the reasons of amendments, oldest first
	Reason   string
	Lines    []SheetLine
	Key      string // under which the device keeps a draft
	Saved    string // when the server last kept it
	Messages Messages
}

// A SheetLine is one criterion with what stands in its fields.
type SheetLine struct {
	Criterion tasting.Criterion
	Score     string
	Comment   string
	Quotable  bool
	Kept      string // the score the server keeps, where the page shows another
}

func (l SheetLine) scores() []tasting.Points { return l.Criterion.Scale.Scores() }

// long says that a scale has too many scores for a row of buttons.
func (l SheetLine) long() bool { return len(l.scores()) > 41 }

// scaleClass lays a scale of halves out in even rows.
func (l SheetLine) scaleClass() string {
	if len(l.scores()) == 21 {
		return "scale of-21"
	}
	return "scale"
}

func half(p tasting.Points) bool { return p%100 != 0 }
