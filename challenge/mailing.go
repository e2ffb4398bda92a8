package challenge

import "time"

// MailingKind is what many people are told at once.
type MailingKind string

// The kinds of mailings.
const (
	Shortlisted MailingKind = "shortlisted"   // the entry goes on from a reading or a pick
	NotThisTime MailingKind = "not-this-time" // it took part in the round and does not go on
	WasDrawn    MailingKind = "drawn"         // it was drawn
	ResultIsOut MailingKind = "result"        // everyone who took part: the results can be read
	Reminder    MailingKind = "reminder"      // to readers and judges who have not finished
)

// A Mailing is one event of a challenge that people can be told of. The host
// releases it; nothing leaves before the outcome it tells is public.
type Mailing struct {
	Kind  MailingKind
	Round Round
	Ready bool      // what it tells is public, or gives nothing away
	From  time.Time // from when on it is ready; zero if that is not fixed yet
}

// Mailings are what can be told in c at now, in the order of the rounds.
func (c Challenge) Mailings(now time.Time) []Mailing {
	var out []Mailing
	public := c.Shows(Public, now)
	for i, r := range c.Rounds {
		add := func(kinds ...MailingKind) {
			for _, k := range kinds {
				out = append(out, Mailing{Kind: k, Round: r, Ready: public.Outcome(r.ID), From: c.PublicFrom(r)})
			}
		}
		switch {
		case r.State == UnderWay && (r.Kind == Reading || r.Kind == Tasting):
			out = append(out, Mailing{Kind: Reminder, Round: r, Ready: true, From: r.OpenedAt})
		case r.State != Done:
		case r.Kind == Reading, r.Kind == Pick:
			add(Shortlisted, NotThisTime)
		case r.Kind == Draw:
			add(WasDrawn)
		}
		if i == len(c.Rounds)-1 && r.State == Done {
			add(ResultIsOut)
		}
	}
	return out
}

// Mailing finds one that can be told, or refuses.
func (c Challenge) Mailing(k MailingKind, round int64, now time.Time) (Mailing, error) {
	for _, m := range c.Mailings(now) {
		if m.Kind == k && m.Round.ID == round {
			return m, nil
		}
	}
	return Mailing{}, NotFound("There is nothing of that kind to tell yet.")
}
