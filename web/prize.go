package web

import (
	"net/http"

	"fairladle/challenge"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showPrize is where a host offers the prize, and sends it.
func (s *Server) showPrize(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	p, err := s.prizePage(r, d, challenge.Prize{Turn: usualTurn(d.challenge), Days: 10})
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Prize(p))
}

// usualTurn is the order a host is likely to mean.
func usualTurn(c challenge.Challenge) challenge.Turn {
	if len(c.Of(challenge.Draw)) == 0 {
		return challenge.ByFinal
	}
	return challenge.ByDraw
}

func (s *Server) prizePage(r *http.Request, d desk, typed challenge.Prize) (views.PrizePage, error) {
	f := s.deskFrame(r, d, text.T(r.Context(), "Prize"))
	f.Said = said(r)
	p := views.PrizePage{Frame: f, Desk: d.base, Challenge: d.challenge, Typed: typed, Now: s.db.Now(), Mail: s.config.Mail != nil}
	var err error
	if p.Given, err = s.db.Prize(r.Context(), d.actor, d.challenge, typed.Turn); err != nil {
		return p, err
	}
	if p.Given.Prize.What != "" {
		p.Typed = p.Given.Prize
	}
	return p, nil
}

func (s *Server) offerPrize(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	typed := challenge.Prize{What: field(r, "what"), Turn: challenge.Turn(field(r, "turn")), Days: number(r, "days")}
	err = s.db.OfferPrize(r.Context(), d.actor, d.challenge.ID, typed)
	return s.prizeAnswer(w, r, d, typed, err, "offered")
}

// prizeAnswer leads back to the page, or shows it again with what is wrong.
func (s *Server) prizeAnswer(w http.ResponseWriter, r *http.Request, d desk, typed challenge.Prize, cause error, saying string) error {
	if m, ok := refusals(cause); ok {
		p, err := s.prizePage(r, d, typed)
		if err != nil {
			return err
		}
		p.Messages = m
		s.show(w, r, formStatus(cause), views.Prize(p))
		return nil
	}
	if cause != nil {
		return cause
	}
	return to(w, r, d.base+"/prize?said="+saying)
}

// showPostal shows the address, once for each time it is asked for.
func (s *Server) showPostal(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.SeeAddress)
	if err != nil {
		return err
	}
	address, err := s.db.PrizePostal(r.Context(), d.actor, d.challenge.ID)
	if err != nil {
		return err
	}
	p, err := s.prizePage(r, d, challenge.Prize{Turn: usualTurn(d.challenge)})
	p.Address = address
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Prize(p))
}

func (s *Server) prizeSent(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	return s.prizeAnswer(w, r, d, challenge.Prize{Turn: usualTurn(d.challenge)}, s.db.PrizeSent(r.Context(), d.actor, d.challenge.ID), "prize-sent")
}

// answerPrize accepts or declines on the entrant's private page, or says where
// an accepted prize goes.
func (s *Server) answerPrize(w http.ResponseWriter, r *http.Request) error {
	a, o, base, r, err := s.own(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	address := r.PostFormValue("address")
	switch r.PostFormValue("do") {
	case "accept":
		err = s.db.AnswerPrize(r.Context(), a, true)
	case "decline":
		err = s.db.AnswerPrize(r.Context(), a, false)
	default:
		err = s.db.PrizeAddress(r.Context(), a, address)
	}
	if m, ok := refusals(err); ok {
		p, pageErr := s.ownPage(r, o, base)
		if pageErr != nil {
			return pageErr
		}
		p.Messages = m
		if address != "" {
			p.Address = address
		}
		s.show(w, r, formStatus(err), views.Own(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, base+"?said=saved#part-prize")
}
