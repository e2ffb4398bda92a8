package web

import (
	"net/http"
	"strconv"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/web/text"
	"fairladle/web/views"
)

// A rollScreen is the screen of a draw, or of the roll that settles the tie of
// a tasting or the cut of a reading.
type rollScreen struct {
	s    *Server
	kind challenge.Kind
}

// drawScreens routes both under the desk.
func (s *Server) drawScreens(get, post func(string, handler)) {
	for path, kind := range map[string]challenge.Kind{"/draw/{round}": challenge.Draw, "/tie/{round}": challenge.Tasting, "/level/{round}": challenge.Reading} {
		x := rollScreen{s, kind}
		get(path, x.show)
		post(path+"/roll", x.roll)
		post(path+"/confirm", x.confirm)
		if kind == challenge.Draw {
			post(path+"/void", x.void)
			post(path+"/freeze", x.freeze)
			post(path+"/seal", x.seal)
			post(path+"/reveal", x.reveal)
			post(path+"/server", x.revealServer)
			post(path+"/source", x.source)
		}
	}
	get("/camera/{round}", s.showCamera)
}

// at finds the screen a request is for: the desk, the round and the address.
func (x rollScreen) at(r *http.Request, do challenge.Action) (desk, challenge.Round, string, *http.Request, error) {
	d, r, err := x.s.desk(r, do)
	if err != nil {
		return d, challenge.Round{}, "", r, err
	}
	round, err := d.round(r, x.kind)
	base := d.base + roundPath(round)
	switch x.kind {
	case challenge.Tasting:
		base = d.base + "/tie/" + itoa(round.Position)
	case challenge.Reading:
		base = d.base + "/level/" + itoa(round.Position)
	}
	return d, round, base, r, err
}

func (x rollScreen) show(w http.ResponseWriter, r *http.Request) error {
	d, round, base, r, err := x.at(r, challenge.ConfirmRoll)
	if err != nil {
		return err
	}
	p, err := x.page(r, d, round, base)
	if err != nil {
		return err
	}
	return x.s.ok(w, r, views.Draw(p))
}

func (x rollScreen) page(r *http.Request, d desk, round challenge.Round, base string) (views.DrawDesk, error) {
	state, err := x.s.db.DrawState(r.Context(), round.ID)
	if err != nil {
		return views.DrawDesk{}, err
	}
	f := x.s.deskFrame(r, d, round.Title)
	f.Said = said(r)
	p := views.DrawDesk{Frame: f, Base: base, Desk: d.base, Public: "/c/" + d.challenge.Slug + "/draw/" + itoa(round.Position), Round: round,
		Tie: x.kind == challenge.Tasting, Level: x.kind == challenge.Reading, Prize: d.challenge.Prize, Release: d.challenge.ReleaseOf(round), Draw: state, Now: x.s.db.Now(), As: "co-host", Actor: d.actor,
		MayRun: challenge.May(d.actor, challenge.RunDraw, d.challenge.ID) == nil, Nonces: map[string]string{}}
	if p.MayRun {
		p.As = "host"
	}
	for _, share := range state.State.Shares {
		if state.Awaits != draw.ForCommitments || share.Committed {
			continue
		}
		nonce, err := x.s.db.NewNonce()
		if err != nil {
			return p, err
		}
		p.Nonces[share.Party] = nonce.String()
		p.Frame.Scripts = []string{"check/hash.js", "seal.js"}
	}
	return p, nil
}

// record adds an event that a form of the screen gave, and shows the screen
// again: with what was typed where the event was refused.
func (x rollScreen) record(w http.ResponseWriter, r *http.Request, form string, read func(*http.Request) (draw.Event, views.Typed, error)) error {
	d, round, base, r, err := x.at(r, challenge.ConfirmRoll)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	e, typed, err := read(r)
	if err == nil {
		err = x.s.db.DrawEvent(r.Context(), d.actor, d.challenge.ID, round.ID, e)
	}
	if m, ok := refusals(err); ok {
		p, pageErr := x.page(r, d, round, base)
		if pageErr != nil {
			return pageErr
		}
		p.Messages, p.At, p.Typed = m, form, typed
		x.s.show(w, r, formStatus(err), views.Draw(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, base+"?said=recorded")
}

func (x rollScreen) roll(w http.ResponseWriter, r *http.Request) error {
	return x.record(w, r, "roll", func(r *http.Request) (draw.Event, views.Typed, error) {
		typed := r.PostForm["die"]
		e := draw.Event{N: number(r, "n"), Kind: draw.Rolled, Place: number(r, "place"), Dice: []int{}}
		for _, shown := range typed {
			face, err := strconv.Atoi(shown)
			if err != nil {
				return e, views.Typed{Dice: typed}, challenge.Refuse(challenge.Invalid, "dice", "Type what each die shows, as a whole number.")
			}
			e.Dice = append(e.Dice, face)
		}
		return e, views.Typed{Dice: typed}, nil
	})
}

func (x rollScreen) confirm(w http.ResponseWriter, r *http.Request) error {
	return x.record(w, r, "confirm", func(r *http.Request) (draw.Event, views.Typed, error) {
		return draw.Event{N: number(r, "n"), Kind: draw.Confirmed, Roll: number(r, "roll")}, views.Typed{}, nil
	})
}

// void asks for a word typed out: it cannot be undone.
func (x rollScreen) void(w http.ResponseWriter, r *http.Request) error {
	return x.record(w, r, "void", func(r *http.Request) (draw.Event, views.Typed, error) {
		typed := views.Typed{Reason: field(r, "reason"), Agree: field(r, "agree")}
		e := draw.Event{N: number(r, "n"), Kind: draw.Voided, Reason: typed.Reason}
		var bad challenge.Refusals
		if typed.Reason == "" {
			bad.Add("reason", "Say in a sentence why the draw cannot go on; the reason is kept for ever.")
		}
		if typed.Agree != text.T(r.Context(), "void") {
			bad.Add("agree", "Type the word “void” to declare the draw void.")
		}
		return e, typed, bad.Err()
	})
}

func (x rollScreen) freeze(w http.ResponseWriter, r *http.Request) error {
	d, round, base, r, err := x.at(r, challenge.RunDraw)
	if err != nil {
		return err
	}
	if err := x.s.db.Freeze(r.Context(), d.actor, d.challenge.ID, round.ID); err != nil {
		return err
	}
	return to(w, r, base+"?said=recorded")
}

func (x rollScreen) revealServer(w http.ResponseWriter, r *http.Request) error {
	d, round, base, r, err := x.at(r, challenge.RunDraw)
	if err != nil {
		return err
	}
	if err := x.s.db.RevealServerSeed(r.Context(), d.actor, d.challenge.ID, round.ID); err != nil {
		return err
	}
	return to(w, r, base+"?said=recorded")
}

// drawAt finds the round a public draw page is for.
func (s *Server) drawAt(r *http.Request) (challenge.Challenge, challenge.Round, *http.Request, error) {
	c, _, r, err := s.public(r)
	if err != nil {
		return c, challenge.Round{}, r, err
	}
	round, err := roundAt(c, chi.URLParam(r, "round"))
	return c, round, r, err
}
