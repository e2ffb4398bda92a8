package web

import (
	"context"
	"net/http"
	"slices"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/outbox"
	"fairladle/web/text"
	"fairladle/web/views"
)

func (s *Server) showMessages(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	p, err := s.messagesPage(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.MessagesOf(p))
}

func (s *Server) messagesPage(r *http.Request, d desk) (p views.MessagesPage, err error) {
	ctx := r.Context()
	f := s.deskFrame(r, d, text.T(ctx, "Messages"))
	f.Said = said(r)
	p = views.MessagesPage{Frame: f, Base: d.base, ByMail: s.config.Mail != nil}
	if p.Mailings, err = s.db.Mailings(ctx, d.actor, d.challenge.ID); err != nil {
		return p, err
	}
	own, err := s.db.OwnLetters(ctx, d.actor, d.challenge.ID)
	for _, k := range outbox.Kinds {
		if !k.Site {
			p.Kinds = append(p.Kinds, views.MessageKind{ID: k.ID, Name: k.Name, Own: slices.Contains(own, k.ID)})
		}
	}
	return p, err
}

func (s *Server) releaseMailing(w http.ResponseWriter, r *http.Request) error {
	return s.onMailing(w, r, s.db.ReleaseMailing, "released")
}

func (s *Server) takeMailingBack(w http.ResponseWriter, r *http.Request) error {
	return s.onMailing(w, r, s.db.TakeMailingBack, "taken-back")
}

func (s *Server) onMailing(w http.ResponseWriter, r *http.Request, do func(context.Context, challenge.Actor, int64, int64, challenge.MailingKind) error, say string) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	round, err := roundAt(d.challenge, chi.URLParam(r, "round"))
	if err != nil {
		return err
	}
	err = do(r.Context(), d.actor, d.challenge.ID, round.ID, challenge.MailingKind(chi.URLParam(r, "kind")))
	if m, ok := refusals(err); ok {
		p, failed := s.messagesPage(r, d)
		if failed != nil {
			return failed
		}
		p.Messages = m
		s.show(w, r, formStatus(err), views.MessagesOf(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+"/messages?said="+say)
}

func (s *Server) showLetter(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	p, k, err := s.letterPage(r, d)
	if err != nil {
		return err
	}
	if err := s.preview(r, d, k, &p); err != nil {
		return err
	}
	return s.ok(w, r, views.LetterOf(p))
}

// letterPage is a kind of message as it is worded now.
func (s *Server) letterPage(r *http.Request, d desk) (p views.LetterPage, k outbox.Kind, err error) {
	k, ok := outbox.KindOf(chi.URLParam(r, "kind"))
	if !ok || k.Site {
		return p, k, challenge.NotFound("There is no such message.")
	}
	own, err := s.db.Letter(r.Context(), d.actor, d.challenge.ID, k.ID)
	f := s.deskFrame(r, d, text.T(r.Context(), "Message: %v", text.T(r.Context(), k.Name)))
	f.Said = said(r)
	p = views.LetterPage{Frame: f, Base: d.base, Kind: views.MessageKind{ID: k.ID, Name: k.Name, Own: own.Subject != ""}, Letter: own, Stops: k.Many}
	if !p.Kind.Own {
		p.Letter = outbox.Usual(s.challengeVoice(r, d.challenge), k)
	}
	return p, k, err
}

// challengeVoice is what a challenge's messages are written in.
func (s *Server) challengeVoice(r *http.Request, c challenge.Challenge) text.Voice {
	if c.Language != "" {
		return text.For(c.Language, c.Location())
	}
	return text.For(site(r).Language, c.Location())
}

// preview fills the letter from the newest entry. Names and links stay
// covered: looking at one is recorded, and this is not the place for it.
func (s *Server) preview(r *http.Request, d desk, k outbox.Kind, p *views.LetterPage) error {
	ctx := r.Context()
	v := s.challengeVoice(r, d.challenge)
	x := store.Message{Kind: k.ID, Challenge: d.challenge.Title, Own: p.Letter, Number: 17, Title: v.T("Leek soup"), Name: v.T("[the name]"), Token: v.T("[private-link]")}
	if n, title, err := s.db.ExampleEntry(ctx, d.challenge.ID); err != nil {
		return err
	} else if n > 0 {
		x.Number, x.Title, p.Example = n, title, n
	}
	l := outbox.Write(v, site(r).Name, site(r).PublicURL, x)
	p.Preview = challenge.Letter{Subject: l.Subject, Body: l.Body}
	return nil
}

func (s *Server) saveLetter(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	p, k, err := s.letterPage(r, d)
	if err != nil {
		return err
	}
	ctx, path := r.Context(), d.base+"/messages/"+k.ID
	if field(r, "do") == "usual" {
		if err := s.db.UsualLetter(ctx, d.actor, d.challenge.ID, k.ID); err != nil {
			return err
		}
		return to(w, r, path+"?said=usual")
	}
	p.Letter = challenge.Letter{Subject: field(r, "subject"), Body: challenge.KeptText(r.PostFormValue("body"))}
	if field(r, "do") == "preview" {
		err = p.Letter.Check(k.Link)
	} else {
		err = s.db.SaveLetter(ctx, d.actor, d.challenge.ID, k.ID, k.Link, p.Letter)
	}
	if err == nil && field(r, "do") != "preview" {
		return to(w, r, path+"?said=saved")
	}
	m, ok := refusals(err)
	if err != nil && !ok {
		return err
	}
	p.Messages = m
	if failed := s.preview(r, d, k, &p); failed != nil {
		return failed
	}
	status := http.StatusOK
	if err != nil {
		status = formStatus(err)
	}
	s.show(w, r, status, views.LetterOf(p))
	return nil
}
