package web

import (
	"context"
	"net/http"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// What fits on a screen that is filmed.
const (
	cameraEnvelopes = 60
	cameraRows      = 24
	cameraRolls     = 8
)

// showCamera is the page that may be filmed. It is the host's alone: a
// co-host's address holds a token, and the address may be in the picture.
func (s *Server) showCamera(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunDraw)
	if err != nil {
		return err
	}
	round, err := roundAt(d.challenge, chi.URLParam(r, "round"))
	if err != nil {
		return err
	}
	state, err := s.db.DrawState(r.Context(), round.ID)
	if err != nil {
		return err
	}
	p := cameraPage(r, d, round, state)
	if err := s.openEnvelope(r, d, round, &p); err != nil {
		return err
	}
	return s.ok(w, r, views.CameraPage(p))
}

// openEnvelope adds to the page what the host has asked for: the title, then
// the text, and last the credit.
func (s *Server) openEnvelope(r *http.Request, d desk, round challenge.Round, p *views.Camera) error {
	asked := map[string]int{"title": 1, "recipe": 2, "credit": 3}[r.URL.Query().Get("open")]
	if asked == 0 || p.Tie || !p.Ended {
		return nil
	}
	drawn, err := s.db.Drawn(r.Context(), d.actor, d.challenge.ID, round.ID)
	if err != nil {
		return err
	}
	p.Opened, p.Drawn = asked, &drawn
	if !drawn.MayFilm {
		return nil
	}
	p.Reading = views.NewReading(drawn.Recipe.Text, drawn.Recipe.Reading)
	if asked == 3 {
		p.Credit, err = s.db.DrawnCredit(r.Context(), d.actor, d.challenge.ID, round.ID)
	}
	return err
}

func cameraPage(r *http.Request, d desk, round challenge.Round, state store.DrawState) views.Camera {
	ctx, x := r.Context(), state.State
	p := views.Camera{Language: text.From(ctx).Tag.String(), Challenge: d.challenge.Title, Round: round.Title, Tie: round.Kind == challenge.Tasting,
		Titles: r.URL.Query().Get("titles") != "", Ended: x.Done, Void: x.Void, Awaits: state.Awaits, Place: x.Place, Step: x.Next, Throw: x.Throw, Throws: x.Throws}
	shown := titles(p.Titles && !p.Tie, filmable(state))
	if len(x.Result) > 0 {
		p.First = x.Result[0]
	}
	for i, t := range state.Roster {
		place := placeOf(x.Result, t.Number)
		if i >= cameraEnvelopes && place == 0 {
			p.More++
			continue
		}
		p.Envelopes = append(p.Envelopes, views.Envelope{Number: t.Number, Title: shown[t.Number].Title, Place: place})
	}
	if state.Awaits == draw.ForRoll {
		p.Dice = x.Dice
		p.Table, p.TableMore = views.FaceRows(ctx, x.Table(), shown, cameraRows)
	}
	p.Rolls = cameraRollsOf(ctx, p.Tie, x.Rolls)
	return p
}

// filmable leaves out the titles of recipes that must not be filmed.
func filmable(state store.DrawState) map[int]store.Dish {
	shown := map[int]store.Dish{}
	for n, dish := range state.Dishes {
		if !state.Unfilmed[n] {
			shown[n] = dish
		}
	}
	return shown
}

func placeOf(result []int, number int) int {
	for i, n := range result {
		if n == number {
			return i + 1
		}
	}
	return 0
}

// cameraRollsOf are the newest rolls, the newest first.
func cameraRollsOf(ctx context.Context, tie bool, rolls []draw.Roll) []views.CameraRoll {
	var out []views.CameraRoll
	for i := len(rolls) - 1; i >= 0 && len(out) < cameraRolls; i-- {
		out = append(out, views.NewCameraRoll(ctx, tie, rolls[i]))
	}
	return out
}
