package draw

// Limits of a set of dice, so that every figure stays exact below 2^53.
const (
	maxDice  = 8
	maxFaces = 1000
	maxCombo = 1_000_000
)

// Dice is the set of dice thrown together. Where it has more than one, it must
// be plain which die is which: they are thrown one after the other, or told
// apart as Reading says.
type Dice struct {
	Faces   []int  `json:"faces"`             // of each die, numbered from 1
	Reading string `json:"reading,omitempty"` // e.g. "red, then white"
}

// Check refuses (BadPlan) dice no draw can use.
func (d Dice) Check() error {
	if len(d.Faces) < 1 || len(d.Faces) > maxDice {
		return refuse(BadPlan, "Choose 1 to %v dice.", maxDice)
	}
	combos := int64(1)
	for _, f := range d.Faces {
		if f < 2 || f > maxFaces {
			return refuse(BadPlan, "A die has 2 to %v faces, not %v.", maxFaces, f)
		}
		combos *= int64(f)
		if combos > maxCombo {
			return refuse(BadPlan, "These dice together have more than %v combinations; use fewer.", maxCombo)
		}
	}
	if !plain(d.Reading, 200) {
		return refuse(BadPlan, "Say in one line how the dice are told apart.")
	}
	return nil
}

// Combos returns how many different throws there are.
func (d Dice) Combos() int64 {
	n := int64(1)
	for _, f := range d.Faces {
		n *= int64(f)
	}
	return n
}

// value numbers a throw from 0 in mixed radix, the first die counting most.
func (d Dice) value(throw []int) int64 {
	v := int64(0)
	for i, f := range d.Faces {
		v = v*int64(f) + int64(throw[i]-1)
	}
	return v
}

// check refuses a throw these dice cannot show.
func (d Dice) check(throw []int) error {
	switch n := len(d.Faces); {
	case len(throw) == n:
	case n == 1:
		return refuse(RollCount, "Type what the die shows, one number: this roll has %v.", len(throw))
	default:
		return refuse(RollCount, "Type what each of the %v dice shows: this roll has %v.", n, len(throw))
	}
	for i, shown := range throw {
		switch {
		case shown >= 1 && shown <= d.Faces[i]:
		case len(throw) == 1:
			return refuse(DieFace, "The die has the faces 1 to %v; it cannot show %v.", d.Faces[i], shown)
		default:
			return refuse(DieFace, "Die %v has the faces 1 to %v; it cannot show %v.", i+1, d.Faces[i], shown)
		}
	}
	return nil
}

// Table says which throws mean which entry. For n tickets it takes the fewest
// throws in a row with at least n outcomes, numbers the outcomes from 0, gives
// every ticket the same number of neighbouring outcomes, and leaves the rest
// for "roll again": the simple discard method of NIST SP 800-90A Rev. 1,
// appendix A.5.1, with the dice's combinations in place of bits.
type Table struct {
	Dice     Dice
	Throws   int   // throws in a row that make one outcome
	Outcomes int64 // combinations to the power of throws
	Tickets  int64 // in the roster, when the table is made
	Share    int64 // outcomes for each ticket
	entries  int
	left     func(most int) Roster
}

// Row is one line of a table: every outcome from From to To, read die by die
// and throw by throw, means the entry Number; 0 means "roll again".
type Row struct {
	Number   int
	From, To []int
}

// TableFor returns the table for the entries of a roster.
func TableFor(d Dice, r Roster) Table {
	return tableFor(d, r.Tickets(), len(r), func(most int) Roster { return r[:min(most, len(r))] })
}

func tableFor(d Dice, tickets int64, entries int, left func(most int) Roster) Table {
	t := Table{Dice: d, Throws: 1, Outcomes: d.Combos(), Tickets: tickets, entries: entries, left: left}
	for t.Outcomes < tickets {
		t.Throws++
		t.Outcomes *= d.Combos()
	}
	t.Share = t.Outcomes / tickets
	return t
}

// Limit is the number of outcomes that mean an entry; those from Limit on mean
// "roll again".
func (t Table) Limit() int64 { return t.Share * t.Tickets }

// Rows returns the table's lines in the order of the outcomes, the last one
// being "roll again" if anything is left over.
func (t Table) Rows() []Row {
	rows, _ := t.FirstRows(t.entries)
	return rows
}

// FirstRows is Rows for at most most entries, and how many more there are.
func (t Table) FirstRows(most int) (rows []Row, more int) {
	if t.left == nil {
		return nil, 0
	}
	left := t.left(most)
	rows = make([]Row, 0, len(left)+1)
	at := int64(0)
	for _, ticket := range left {
		next := at + t.Share*ticket.Weight
		rows = append(rows, Row{ticket.Number, t.faces(at), t.faces(next - 1)})
		at = next
	}
	if t.Limit() < t.Outcomes {
		rows = append(rows, Row{0, t.faces(t.Limit()), t.faces(t.Outcomes - 1)})
	}
	return rows, t.entries - len(left)
}

// faces is the inverse of value over all throws of one outcome.
func (t Table) faces(outcome int64) []int {
	dice := len(t.Dice.Faces)
	out := make([]int, t.Throws*dice)
	for i := len(out) - 1; i >= 0; i-- {
		f := int64(t.Dice.Faces[i%dice])
		out[i] = int(outcome%f) + 1
		outcome /= f
	}
	return out
}
