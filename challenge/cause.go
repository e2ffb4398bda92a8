package challenge

import (
	"slices"
	"time"
)

// A Cause is why a host takes an entry out.
type Cause string

// The causes.
const (
	CauseSafety      Cause = "safety"
	CauseNotEligible Cause = "not-eligible"
	CauseCopied      Cause = "copied"
	CauseConsent     Cause = "consent"
	CauseDuplicate   Cause = "duplicate"
)

// Causes lists every cause.
var Causes = []Cause{CauseSafety, CauseNotEligible, CauseCopied, CauseConsent, CauseDuplicate}

// Known says whether c is one of the causes.
func (c Cause) Known() bool { return slices.Contains(Causes, c) }

// Words are what an entrant reads unless the host writes something else.
func (c Cause) Words() string {
	return map[Cause]string{
		CauseSafety:      "Thank you for your recipe. We cannot cook it as it stands, because one of its steps could make somebody ill. It takes no part in the rounds.",
		CauseNotEligible: "Thank you for your recipe. It does not fit the rules of this challenge, so it takes no part in the rounds.",
		CauseCopied:      "Thank you for your entry. The text is very close to a recipe that was published elsewhere, so it takes no part in the rounds.",
		CauseConsent:     "Thank you for your recipe. One of the agreements that we need is missing, so it takes no part in the rounds.",
		CauseDuplicate:   "Thank you for your recipe. It reached us twice, so only one of the two takes part in the rounds.",
	}[c]
}

// An About is something entrants are told of in words that a host can change:
// a cause, or one of the two below.
type About string

// What is told besides the causes.
const (
	AboutLate      About = "late"      // entries have closed
	AboutWithdrawn About = "withdrawn" // to who withdrew
)

// Abouts lists everything that entrants are told of.
var Abouts = func() []About {
	all := []About{AboutLate, AboutWithdrawn}
	for _, c := range Causes {
		all = append(all, About(c))
	}
	return all
}()

// Words are the usual ones.
func (a About) Words() string {
	switch a {
	case AboutLate:
		return "This challenge has closed and takes no more entries or changes. Nothing you typed was sent; copy your text if you want to keep it."
	case AboutWithdrawn:
		return "This entry is withdrawn and takes no part any more."
	}
	return Cause(a).Words()
}

// MovedSince is a round that was opened or closed after a moment, and whether
// there is one: an entry that took no part then has missed it.
func (c Challenge) MovedSince(at time.Time) (Round, bool) {
	for _, r := range c.Rounds {
		if r.OpenedAt.After(at) || r.ClosedAt.After(at) {
			return r, true
		}
	}
	return Round{}, false
}
