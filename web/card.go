package web

import (
	"net/http"
	"sync"
	"time"

	"fairladle/challenge"
	"fairladle/web/card"
	"fairladle/web/text"
	"fairladle/web/views"
)

// cards are the pictures drawn last, by what is on them: one is drawn once for
// each change, and not again for each visitor.
type cards struct {
	lock  sync.Mutex
	drawn map[string][]byte
}

// mostCards is how many are kept; each has about 40 KB.
const mostCards = 64

// png returns the picture. Only one is drawn at a time, so that a crowd of
// readers costs one drawing.
func (k *cards) png(c card.Card) (sum string, b []byte, err error) {
	k.lock.Lock()
	defer k.lock.Unlock()
	sum = c.Sum()
	if b, ok := k.drawn[sum]; ok {
		return sum, b, nil
	}
	if b, err = card.Draw(c); err != nil {
		return sum, nil, err
	}
	if k.drawn == nil || len(k.drawn) >= mostCards {
		k.drawn = map[string][]byte{}
	}
	k.drawn[sum] = b
	return sum, b, nil
}

func (s *Server) sendCard(w http.ResponseWriter, r *http.Request, c card.Card) error {
	sum, b, err := s.cards.png(c)
	if err != nil {
		return err
	}
	// A card is made to be shown on other sites.
	w.Header().Set("Cross-Origin-Resource-Policy", "cross-origin")
	serve(w, r, "image/png", sum, time.Time{}, b)
	return nil
}

// challengeCard stands for a challenge: its title, where it stands, and a knot
// for each round that everyone knows to be over.
func (s *Server) challengeCard(w http.ResponseWriter, r *http.Request) error {
	c, shows, r, err := s.public(r)
	if err != nil {
		return err
	}
	p := views.ChallengePage{Challenge: c, Stage: c.Stage(s.db.Now())}
	under := views.StageSentence(r.Context(), p)
	if shows.Results && p.Stage != challenge.Finished {
		under = text.T(r.Context(), "Results have been released.")
	}
	return s.sendCard(w, r, card.Card{Over: text.T(r.Context(), "Recipe challenge"), Title: c.Title, Under: under, Foot: site(r).Name, Run: runOf(c, shows)})
}

func runOf(c challenge.Challenge, shows challenge.Showing) (run []bool) {
	for _, round := range c.Rounds {
		run = append(run, shows.Outcome(round.ID))
	}
	return run
}

// recipeCard stands for a published recipe.
func (s *Server) recipeCard(w http.ResponseWriter, r *http.Request) error {
	c, shows, r, err := s.public(r)
	if err != nil {
		return err
	}
	x, err := s.recipeAt(w, r, c)
	if err != nil {
		return err
	}
	under := text.T(r.Context(), "No. %v", x.Dish.Number)
	if x.Dish.Credit != "" {
		under = text.T(r.Context(), "by %v", x.Dish.Credit)
	}
	return s.sendCard(w, r, card.Card{Over: c.Title, Title: x.Dish.Title, Under: under, Foot: site(r).Name, Run: runOf(c, shows)})
}
