package challenge

import (
	"encoding/json"
	"time"
)

// Terms are what people take part under, as they go into the ledger.
type Terms struct {
	Title            string          `json:"title"`
	Brief            string          `json:"brief"`
	Rules            string          `json:"rules"`
	Zone             string          `json:"zone"`
	Language         string          `json:"language,omitempty"`
	OpensAt          string          `json:"opens_at"`
	ClosesAt         string          `json:"closes_at"`
	ReleaseAt        string          `json:"release_at"`
	EntriesPerPerson int             `json:"entries_per_person"`
	Criteria         json.RawMessage `json:"criteria"`
	Rounds           []RoundTerms    `json:"rounds,omitempty"`
}

// RoundTerms are a round as it was planned.
type RoundTerms struct {
	Kind      Kind   `json:"kind"`
	Title     string `json:"title"`
	Params    Params `json:"params"`
	ReleaseAt string `json:"release_at,omitempty"`
}

// Terms of the challenge as it stands.
func (c Challenge) Terms() Terms {
	s := c.Settings()
	t := s.terms()
	t.Rounds = c.RoundTerms()
	return t
}

// RoundTerms lists the rounds as planned.
func (c Challenge) RoundTerms() []RoundTerms {
	var ts []RoundTerms
	for _, r := range c.Rounds {
		t := RoundTerms{Kind: r.Kind, Title: r.Title, Params: r.Params}
		if !r.ReleaseAt.IsZero() {
			t.ReleaseAt = r.ReleaseAt.UTC().Format(Stamp)
		}
		ts = append(ts, t)
	}
	return ts
}

func (s Settings) terms() Terms {
	criteria, err := json.Marshal(s.Criteria)
	if err != nil {
		panic("criteria hold only plain values: " + err.Error())
	}
	return Terms{Title: s.Title, Brief: s.Brief, Rules: s.Rules, Zone: s.Zone, Language: s.Language,
		OpensAt: s.OpensAt.UTC().Format(Stamp), ClosesAt: s.ClosesAt.UTC().Format(Stamp), ReleaseAt: s.Release.UTC().Format(Stamp),
		EntriesPerPerson: s.EntriesPerPerson, Criteria: criteria}
}

// Settings are the challenge's, as a form shows them for changing.
func (c Challenge) Settings() Settings {
	return Settings{Title: c.Title, Brief: c.Brief, Rules: c.Rules, Zone: c.Zone, Language: c.Language, OpensAt: c.OpensAt, ClosesAt: c.ClosesAt,
		Release: c.ReleaseAt, EntriesPerPerson: c.EntriesPerPerson, Photos: c.Photos, Prize: c.Prize, Kitchen: c.Kitchen, Criteria: c.Criteria}
}

// Differences are what a change of settings changes: the new value of each
// term that is another than before.
func (c Challenge) Differences(s Settings) map[string]json.RawMessage {
	was, is := asFields(c.Settings().terms()), asFields(s.terms())
	for k, v := range is {
		if string(was[k]) == string(v) {
			delete(is, k)
		}
	}
	return is
}

func asFields(t Terms) map[string]json.RawMessage {
	b, err := json.Marshal(t)
	if err != nil {
		panic("terms hold only plain values: " + err.Error())
	}
	var m map[string]json.RawMessage
	if err := json.Unmarshal(b, &m); err != nil {
		panic("terms are a JSON object: " + err.Error())
	}
	return m
}

// MayChange refuses a change of settings that comes from a stale page, lacks a
// reason, or touches what has been locked.
func (c Challenge) MayChange(s Settings, version int, now time.Time) error {
	if version != c.SettingsVersion {
		return Refuse(Stale, "", "These settings were changed elsewhere since you opened this page. Load it again and repeat your change.")
	}
	if c.AnnouncedAt.IsZero() {
		return nil
	}
	diff := c.Differences(s)
	if _, ok := diff["criteria"]; ok && c.CriteriaLocked {
		return Refuse(Shut, "criteria", "The tasting has begun; what judges score is locked.")
	}
	_, opens := diff["opens_at"]
	_, closes := diff["closes_at"]
	if (opens || closes) && c.FirstRoundHasOpened {
		return Refuse(Shut, "closes_at", "The first round has begun; the dates for entries are locked.")
	}
	if _, ok := diff["release_at"]; ok && c.anyReleased(now) {
		return Refuse(Shut, "release_at", "Results have been released already; what was shown stays shown.")
	}
	if len(diff) > 0 && s.Reason == "" {
		return Refuse(Invalid, "reason", "The challenge is public. Say in a sentence why you change it; the reason is shown for ever.")
	}
	return nil
}

// MayAnnounce refuses to make a draft public.
func (c Challenge) MayAnnounce(now time.Time) error {
	switch {
	case !c.AnnouncedAt.IsZero():
		return Refuse(Stale, "", "This challenge is public already.")
	case !c.ClosesAt.After(now):
		return Refuse(Invalid, "closes_at", "Entries would have closed already. Set a closing time in the future first.")
	case len(c.Rounds) == 0:
		return Refuse(Invalid, "rounds", "Plan at least one round first.")
	}
	for _, r := range c.Rounds {
		if err := r.Check(); err != nil {
			return err
		}
	}
	return nil
}
