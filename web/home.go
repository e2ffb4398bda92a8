package web

import (
	"net/http"
	"time"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showFront lists the challenges the public may see.
func (s *Server) showFront(w http.ResponseWriter, r *http.Request) error {
	st := site(r)
	f := s.frame(r, text.T(r.Context(), "Recipe challenges"))
	if st.SetUpAt.IsZero() {
		return s.ok(w, r, views.NotSetUp(f))
	}
	cs, err := s.db.Challenges(r.Context())
	if err != nil {
		return err
	}
	p := views.FrontPage{Frame: f, Name: st.Name}
	now := s.db.Now()
	for _, c := range cs {
		if !c.AnnouncedAt.IsZero() {
			p.Challenges = append(p.Challenges, views.FrontLine{Slug: c.Slug, Title: c.Title, Stage: c.Stage(now), ClosesAt: c.ClosesAt,
				Entries: c.Entries, Zone: c.Location(), Shows: c.Shows(challenge.Public, now)})
		}
	}
	if p.Seasons, err = s.db.ShownSeasons(r.Context()); err != nil {
		return err
	}
	p.Frame.Share = &views.Share{Title: st.Name, About: text.T(r.Context(), "Recipe challenges: a theme, many cooks, one table."), Address: st.PublicURL + "/"}
	return s.published(w, r, views.Front(p))
}

// showHome is the host's first page: what needs attention, then everything.
func (s *Server) showHome(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.hostActor(r); err != nil {
		return err
	}
	cs, err := s.db.Challenges(r.Context())
	if err != nil {
		return err
	}
	waiting, err := s.db.Waiting(r.Context(), 500)
	if err != nil {
		return err
	}
	host, err := s.db.Host(r.Context(), s.host(r))
	if err != nil {
		return err
	}
	p := views.HomePage{Frame: s.frame(r, text.T(r.Context(), "All challenges")), Host: host.Name, Waiting: len(waiting), Now: s.db.Now()}
	if p.Seasons, err = s.db.Seasons(r.Context()); err != nil {
		return err
	}
	for _, c := range cs {
		p.Challenges = append(p.Challenges, views.HomeLine{Challenge: c, Stage: c.Stage(p.Now), Next: nextStep(c, p.Now)})
	}
	return s.ok(w, r, views.Home(p))
}

// showDesk is the first page of whoever works on a challenge.
func (s *Server) showDesk(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.SeePublic)
	if err != nil {
		return err
	}
	switch d.actor.Role {
	case challenge.Host:
		return s.showHostDesk(w, r, d)
	case challenge.Judge:
		return s.showJudgeDesk(w, r, d)
	}
	person, err := s.db.Participant(r.Context(), d.challenge.ID, d.actor.ID)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.HelperDesk(views.HelperDeskPage{Frame: s.deskFrame(r, d, d.challenge.Title), Name: person.Name,
		Role: d.actor.Role, Challenge: d.challenge, Base: d.base}))
}

func (s *Server) showHostDesk(w http.ResponseWriter, r *http.Request, d desk) error {
	now := s.db.Now()
	f := s.deskFrame(r, d, d.challenge.Title)
	f.Said = said(r)
	p := views.HostDeskPage{Frame: f, Challenge: d.challenge, Stage: d.challenge.Stage(now), Now: now, Base: d.base,
		Public: site(r).PublicURL + "/c/" + d.challenge.Slug, Next: nextStep(d.challenge, now)}
	var err error
	if p.Waits, err = s.db.Waits(r.Context(), d.actor, d.challenge.ID); err != nil {
		return err
	}
	for _, round := range d.challenge.Rounds {
		v, err := s.roundView(r, d, round)
		if err != nil {
			return err
		}
		p.Rounds = append(p.Rounds, v)
	}
	return s.ok(w, r, views.HostDesk(p))
}

// roundView is what the host's page says of one round.
func (s *Server) roundView(r *http.Request, d desk, round challenge.Round) (views.RoundView, error) {
	v := views.RoundView{Round: round, Release: d.challenge.ReleaseOf(round), Refused: d.challenge.MayOpen(round, s.db.Now())}
	if next, ok := d.challenge.Next(); ok && next.ID == round.ID {
		v.Next = true
	}
	if round.State != challenge.Done {
		return v, nil
	}
	out, err := s.db.Outcome(r.Context(), round.ID)
	if err != nil {
		return v, err
	}
	v.Through, err = s.db.DishesByID(r.Context(), challenge.Through(out))
	return v, err
}

// nextStep is the one thing a host should do now.
func nextStep(c challenge.Challenge, now time.Time) views.NextStep {
	switch c.Stage(now) {
	case challenge.Draft:
		return views.NextStep{Text: "Check the settings and rounds, then open the challenge to the public.", Path: "/settings"}
	case challenge.Waiting:
		return views.NextStep{Text: "Share the address. Entries are taken from the opening time on."}
	case challenge.Open:
		return views.NextStep{Text: "Entries are coming in. Look at them when you like; reading begins when they have closed.", Path: "/entries"}
	}
	if next, ok := c.Next(); ok {
		if next.State == challenge.Planned {
			return views.NextStep{Text: "The next round is “%v”. Open it when you are ready.", Args: []any{next.Title}}
		}
		return views.NextStep{Text: "“%v” is under way.", Args: []any{next.Title}, Path: roundPath(next)}
	}
	if c.Stage(now) == challenge.Finished {
		return views.NextStep{Text: "Everything is done and published. The next challenge can be started from this one.", Path: "/next"}
	}
	return views.NextStep{Text: "All rounds are closed. The results are shown at their release time."}
}

// roundPath is the desk page of a round.
func roundPath(r challenge.Round) string {
	return "/" + string(r.Kind) + "/" + itoa(r.Position)
}

func senderOf(x store.Sender) views.Sender {
	return views.Sender{Name: x.Name, Email: x.Email, Credit: x.Credit, Spoken: x.Spoken, Origin: x.Origin, OriginNote: x.OriginNote, Consents: x.Consents}
}
