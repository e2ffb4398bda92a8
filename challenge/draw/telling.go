package draw

import (
	"fmt"
	"strings"

	"fairladle/challenge/wording"
)

func (p Plan) summary() string {
	how := map[Method]string{ByDice: "by dice", BySeeds: "by sealed seeds", ByPublics: "by public sources"}[p.Method]
	text := fmt.Sprintf("%s, %s, announced %s, list fixed %s", how, counted(p.Places, "place"), p.AnnouncedAt, p.FrozenAt)
	if p.Rehearsal {
		text = "REHEARSAL, it decides nothing: " + text
	}
	return text
}

func (e Extent) summary() string {
	return fmt.Sprintf("%d entries, %d tickets, root %s", e.Entries, e.Tickets, e.Root)
}

func resultText(rec Record) string {
	if rec.Void {
		return "declared void"
	}
	const most = 20
	var b strings.Builder
	for i, n := range rec.Result {
		if i == most {
			fmt.Fprintf(&b, " and %d more", len(rec.Result)-most)
			break
		}
		if i > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "No. %d", n)
	}
	return b.String()
}

// cannotShow says what lies outside of any check of this record.
func (rec Record) cannotShow(o Options) []string {
	out := []string{
		"That the list holds every entry it should: each entrant checks that with the slip kept from sending.",
		"That this is the only draw or rehearsal, and that no roll was recorded twice: the public ledger lists each of them; count there.",
		"What the times were: they are the server's own. The order of the ledger is checked, its clock is not.",
	}
	if rec.Plan.Rehearsal {
		out = append([]string{"Anything about the real draw: this is a rehearsal on a made-up list."}, out...)
	}
	p := rec.Plan
	if p.Seeds != nil {
		out = append(out, cannotSeeds, p.Bias().String())
	}
	if p.Dice != nil || p.Fallback != nil {
		out = append(out, cannotDice...)
	}
	if len(p.Sources) > 0 || p.Seeds != nil && p.Seeds.Later != nil {
		out = append(out, cannotPublic)
	}
	if o.Head == nil {
		missing := "No head kept elsewhere was given: whoever holds the ledger's key could have rebuilt the whole ledger and this record with it. Compare the head with one from a slip, a feed or a page saved before the draw."
		if o.Key == nil {
			missing = "No head and no key from elsewhere was given: anyone could have built this ledger and this record. Compare both with a slip, a feed or a page saved before the draw."
		}
		out = append(out, missing)
	}
	return out
}

var cannotDice = []string{
	"That a typed roll is the one that was filmed: watch the film and compare each roll with the record.",
	"That the dice are fair, and that the film is of one piece.",
}

const (
	cannotSeeds  = "Who the parties are, and whether all of them are one person or agreed on their secrets."
	cannotPublic = "That a public value was typed as it was published: look it up where the plan says."
)

// Notes are the plain sentences a page must show with this plan before the
// draw.
func (p Plan) Notes() []wording.Sentence {
	var out []wording.Sentence
	if p.Rehearsal {
		out = append(out, wording.Of("This is a rehearsal on a made-up list. It decides nothing, and it is counted."))
	}
	if p.Dice != nil {
		out = append(out, wording.Of("Every roll is recorded as it is typed, those that mean \"roll again\" too. Filming once more never changes a recorded roll."))
	}
	if p.Seeds != nil {
		out = append(out, p.Bias(), wording.Of("Whoever runs the server can read a secret that is typed into a page which runs no script: then seal it with a tool of your own and hand in only the result."))
	}
	if len(p.Sources) > 0 {
		out = append(out, wording.Of("Anyone can work out this draw as soon as the last public value appears, so it cannot be kept for a later release."))
	}
	return append(out, wording.Of(PrizeCaution))
}

// PrizeCaution stands wherever a draw can bring a prize.
const PrizeCaution = "Draws for prizes are regulated in many places, and an entry fee can make one a lottery. Look at your local rules, or ask someone qualified, before you announce a prize."

// Bias says in one sentence what advantage a draw by sealed seeds leaves to
// whoever opens last; it is empty for other methods.
func (p Plan) Bias() wording.Sentence {
	switch {
	case p.Seeds == nil:
		return wording.Sentence{}
	case p.Seeds.Later != nil:
		return wording.Of("Nobody can foresee the outcome before “%v” appears, so refusing to open a secret gains next to nothing; that value itself must not be in anyone's hand.", p.Seeds.Later.Name)
	}
	return wording.Of("Whoever opens last sees the outcome first and can refuse to open; the dice then decide instead. So that party can have a second draw, once, but cannot choose the outcome.")
}
