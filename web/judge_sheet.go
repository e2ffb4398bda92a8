package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// sheetKey is the name under which a judge's device keeps an unsent sheet. It
// holds the judge's number: two judges may share a tablet.
func sheetKey(d desk, round challenge.Round, code int) string {
	who := d.actor.ID
	if d.actor.Role == challenge.Host {
		who = 0
	}
	return fmt.Sprintf("%s/%d/%d/%d", d.challenge.Slug, round.Position, code, who)
}

// sheetAsked finds whose sheet, of which round and plate, a request is about.
func (s *Server) sheetAsked(r *http.Request) (desk, *http.Request, challenge.Round, store.Sheet, int, error) {
	var sheet store.Sheet
	var round challenge.Round
	d, r, err := s.desk(r, challenge.ScorePlate)
	if err != nil {
		return d, r, round, sheet, 0, err
	}
	if round, err = d.round(r, challenge.Tasting); err != nil {
		return d, r, round, sheet, 0, err
	}
	code, err := strconv.Atoi(chi.URLParam(r, "code"))
	if err != nil {
		return d, r, round, sheet, 0, notFound(nil, r)
	}
	sheet, err = s.db.OwnSheet(r.Context(), d.actor, d.challenge.ID, round.ID, code)
	return d, r, round, sheet, code, err
}

func (s *Server) showSheet(w http.ResponseWriter, r *http.Request) error {
	d, r, round, sheet, code, err := s.sheetAsked(r)
	if err != nil {
		return err
	}
	p, err := s.sheetPage(r, d, round, sheet, code)
	if err != nil {
		return err
	}
	asked, err := s.db.CriteriaFor(r.Context(), d.actor, d.challenge)
	if err != nil {
		return err
	}
	p.Lines = sheetLines(asked, sheet.Answers)
	p.Amending = p.MayAmend && r.URL.Query().Has("amend")
	return s.ok(w, r, views.Sheet(p))
}

func (s *Server) sheetPage(r *http.Request, d desk, round challenge.Round, sheet store.Sheet, code int) (views.SheetPage, error) {
	f := s.deskFrame(r, d, text.T(r.Context(), "Plate %v", code))
	f.Said, f.Scripts = said(r), []string{"sheet.js"}
	p := views.SheetPage{Frame: f, Desk: judgeBase(d, round), Action: sheetPath(d, round, code), Round: round.Title, Code: code,
		Revision: sheet.Revision, TakenOut: sheet.TakenOut, Key: sheetKey(d, round, code)}
	if !sheet.SealedAt.IsZero() {
		p.Sealed = text.From(r.Context()).Moment(sheet.SealedAt)
	} else if sheet.Revision > 0 {
		p.Saved = text.From(r.Context()).Clock(sheet.SavedAt)
	}
	settling, err := s.db.TieOpen(r.Context(), round.ID)
	if err != nil {
		return p, err
	}
	p.Over = round.State == challenge.Done || settling
	p.MayAmend = !p.Over && p.Sealed != "" && !p.TakenOut && round.State == challenge.UnderWay
	for _, x := range sheet.Amended {
		p.Amended = append(p.Amended, x.Reason)
	}
	p.Open = !p.Over && p.Sealed == "" && !p.TakenOut && round.State == challenge.UnderWay
	served, err := s.db.Served(r.Context(), d.actor, d.challenge.ID, round.ID)
	p.Total = len(served)
	for i, x := range served {
		if x.Code == code {
			p.Position = i + 1
		}
	}
	return p, err
}

// judgeBase is where the plates of whoever scores are listed.
func judgeBase(d desk, round challenge.Round) string {
	if d.actor.Role == challenge.Judge {
		return d.base
	}
	return d.base + "/score/" + itoa(round.Position)
}

func sheetPath(d desk, round challenge.Round, code int) string {
	return d.base + "/score/" + itoa(round.Position) + "/" + itoa(code)
}

func sheetLines(criteria []tasting.Criterion, ans store.Answers) []views.SheetLine {
	lines := make([]views.SheetLine, len(criteria))
	for i, c := range criteria {
		lines[i] = views.SheetLine{Criterion: c, Comment: ans.Comments[c.Key].Text, Quotable: ans.Comments[c.Key].Quotable}
		if score, scored := ans.Scores[c.Key]; scored {
			lines[i].Score = score.String()
		}
	}
	return lines
}

// saveSheet keeps a draft or seals it. The same form is sent by the buttons
// and, asking for JSON, by the page's script.
func (s *Server) saveSheet(w http.ResponseWriter, r *http.Request) error {
	d, r, round, sheet, code, err := s.sheetAsked(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	asked, err := s.db.CriteriaFor(r.Context(), d.actor, d.challenge)
	if err != nil {
		return err
	}
	ans, err := readAnswers(r, asked)
	seal, amend := r.PostFormValue("do") == "seal", r.PostFormValue("do") == "amend"
	switch {
	case err == nil && amend:
		err = s.db.AmendSheet(r.Context(), d.actor, d.challenge.ID, round.ID, sheet.Plate, number(r, "revision"), ans, field(r, "reason"))
	case err == nil:
		err = s.db.SaveSheet(r.Context(), d.actor, d.challenge.ID, round.ID, sheet.Plate, number(r, "revision"), ans, seal)
	}
	if wantsJSON(r) {
		return s.answerSheet(w, r, d, round, code, err)
	}
	if m, ok := refusals(err); ok {
		return s.sheetAgain(w, r, d, round, sheet, code, m, err)
	}
	if err != nil {
		return err
	}
	if seal || amend {
		return to(w, r, judgeBase(d, round)+"?said="+map[bool]string{true: "amended", false: "sealed"}[amend])
	}
	return to(w, r, sheetPath(d, round, code)+"?said=saved")
}

// sheetAgain shows what was typed, with the messages, and what the server
// keeps where that differs.
func (s *Server) sheetAgain(w http.ResponseWriter, r *http.Request, d desk, round challenge.Round, sheet store.Sheet, code int, m views.Messages, cause error) error {
	p, err := s.sheetPage(r, d, round, sheet, code)
	if err != nil {
		return err
	}
	p.Messages = m
	asked, err := s.db.CriteriaFor(r.Context(), d.actor, d.challenge)
	if err != nil {
		return err
	}
	p.Lines, p.Reason = typedLines(r, asked, sheet.Answers), field(r, "reason")
	p.Amending = p.MayAmend && r.PostFormValue("do") == "amend"
	s.show(w, r, formStatus(cause), views.Sheet(p))
	return nil
}

func typedLines(r *http.Request, criteria []tasting.Criterion, kept store.Answers) []views.SheetLine {
	lines := sheetLines(criteria, kept)
	for i := range lines {
		l := &lines[i]
		key := l.Criterion.Key
		if typed := canonical(field(r, "score-"+key)); typed != l.Score {
			l.Kept, l.Score = l.Score, typed
		}
		l.Comment, l.Quotable = field(r, "comment-"+key), ticked(r, "quote-"+key)
	}
	return lines
}

// canonical writes a typed score as the scale's buttons do: "7,50" is "7.5".
func canonical(typed string) string {
	if p, err := tasting.ParsePoints(typed); err == nil {
		return p.String()
	}
	return typed
}

// readAnswers decodes a sheet's form. Scores of criteria that are not asked
// are kept, for the store to refuse.
func readAnswers(r *http.Request, criteria []tasting.Criterion) (store.Answers, error) {
	ans := store.Answers{Scores: map[string]tasting.Points{}, Comments: map[string]store.Comment{}}
	var bad challenge.Refusals
	for name := range r.PostForm {
		key, isScore := strings.CutPrefix(name, "score-")
		typed := field(r, name)
		if !isScore || typed == "" {
			continue
		}
		score, err := tasting.ParsePoints(typed)
		if err != nil {
			bad.Add(name, "“%v” is not a score. Choose one on the scale.", typed)
			continue
		}
		ans.Scores[key] = score
	}
	for _, c := range criteria {
		if said := field(r, "comment-"+c.Key); said != "" {
			ans.Comments[c.Key] = store.Comment{Text: said, Quotable: ticked(r, "quote-"+c.Key)}
		}
	}
	return ans, bad.Err()
}

func wantsJSON(r *http.Request) bool { return r.Header.Get("Accept") == "application/json" }

// sheetAnswer is what the sheet's script is told. It repeats no score.
type sheetAnswer struct {
	Revision int    `json:"revision"`
	Sealed   bool   `json:"sealed"`
	Next     string `json:"next"`
	Message  string `json:"message,omitempty"`
}

func (s *Server) answerSheet(w http.ResponseWriter, r *http.Request, d desk, round challenge.Round, code int, cause error) error {
	kept, err := s.db.OwnSheet(r.Context(), d.actor, d.challenge.ID, round.ID, code)
	if err != nil {
		return err
	}
	a := sheetAnswer{Revision: kept.Revision, Sealed: !kept.SealedAt.IsZero(), Next: sheetPath(d, round, code) + "?said=saved"}
	if a.Sealed {
		a.Next = judgeBase(d, round) + "?said=sheet-sealed"
	}
	status := http.StatusOK
	if cause != nil {
		var sentence string
		var args []any
		status, sentence, args = statusOf(cause)
		a.Message = text.T(r.Context(), sentence, args...)
		if status >= http.StatusInternalServerError {
			return cause
		}
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	return json.NewEncoder(w).Encode(a)
}

// showScores lists the plates of a host or co-host who scores.
func (s *Server) showScores(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.ScorePlate)
	if err != nil {
		return err
	}
	round, err := d.round(r, challenge.Tasting)
	if err != nil {
		return err
	}
	if d.actor.Role == challenge.Host && !round.Params.HostScores {
		return challenge.Refuse(challenge.Barred, "", "The rules of this challenge do not let the host score.")
	}
	return s.showJudgeDesk(w, r, d)
}
