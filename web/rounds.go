package web

import (
	"net/http"
	"regexp"
	"strconv"
	"strings"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/challenge/ballot"
	"fairladle/challenge/shortlist"
	"fairladle/challenge/tasting"
	"fairladle/web/text"
	"fairladle/web/views"
)

func (s *Server) showRounds(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Rounds(s.roundsPage(r, d)))
}

func (s *Server) roundsPage(r *http.Request, d desk) views.RoundsPage {
	f := s.deskFrame(r, d, text.T(r.Context(), "Rounds"))
	f.Said = said(r)
	return views.RoundsPage{Frame: f, Base: d.base, Challenge: d.challenge}
}

func (s *Server) addRound(w http.ResponseWriter, r *http.Request) error {
	return s.onRounds(w, r, func(r *http.Request, d desk) error {
		return s.db.AddRound(r.Context(), d.actor, d.challenge.ID, challenge.Kind(field(r, "kind")))
	})
}

func (s *Server) moveRound(w http.ResponseWriter, r *http.Request) error {
	return s.onPlanned(w, r, func(r *http.Request, d desk, round challenge.Round) error {
		return s.db.MoveRound(r.Context(), d.actor, d.challenge.ID, round.ID)
	})
}

func (s *Server) removeRound(w http.ResponseWriter, r *http.Request) error {
	return s.onPlanned(w, r, func(r *http.Request, d desk, round challenge.Round) error {
		return s.db.RemoveRound(r.Context(), d.actor, d.challenge.ID, round.ID)
	})
}

func (s *Server) editRound(w http.ResponseWriter, r *http.Request) error {
	return s.onPlanned(w, r, func(r *http.Request, d desk, round challenge.Round) error {
		return s.db.EditRound(r.Context(), d.actor, d.challenge.ID, readRound(r, d.challenge, round))
	})
}

// onPlanned is onRounds for the round that the path names.
func (s *Server) onPlanned(w http.ResponseWriter, r *http.Request, change func(*http.Request, desk, challenge.Round) error) error {
	return s.onRounds(w, r, func(r *http.Request, d desk) error {
		round, err := roundAt(d.challenge, chi.URLParam(r, "round"))
		if err != nil {
			return err
		}
		return change(r, d, round)
	})
}

// onRounds does one change of the plan and shows the plan again. The change
// reads the request it is given: that one holds the parsed form.
func (s *Server) onRounds(w http.ResponseWriter, r *http.Request, change func(*http.Request, desk) error) error {
	d, r, err := s.posted(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	done := d.base + "/rounds?said=saved"
	if round, err := roundAt(d.challenge, chi.URLParam(r, "round")); err == nil && field(r, "back") != "" {
		done = d.base + roundPath(round) + "?said=saved"
	}
	return s.answer(w, r, change(r, d), done, func(m views.Messages) (templ.Component, error) {
		p := s.roundsPage(r, d)
		p.Messages, p.At = m, chi.URLParam(r, "round")
		if round, err := roundAt(d.challenge, p.At); err == nil && r.PostForm.Has("title") {
			p.Challenge.Rounds[round.Position-1] = readRound(r, d.challenge, round) // what was typed
		}
		return views.Rounds(p), nil
	})
}

// readRound decodes the form of one round over what it was.
func readRound(r *http.Request, c challenge.Challenge, round challenge.Round) challenge.Round {
	round.Title = field(r, "title")
	round.ReleaseAt = moment(r, "release_at", c.Zone)
	p := &round.Params
	switch round.Kind {
	case challenge.Reading:
		p.Keep, p.PerEntry, p.HostReads, p.PickerToo = number(r, "keep"), number(r, "per_entry"), ticked(r, "host_reads"), ticked(r, "picker_too")
		p.Cut = &shortlist.Rule{Kind: shortlist.Kind(field(r, "cut")), AtCut: shortlist.AtCut(field(r, "at_cut")), Criteria: readCriteria(r.PostFormValue("criteria"))}
	case challenge.Pick:
		p.Keep, p.Sealed = number(r, "keep"), ticked(r, "sealed")
	case challenge.Draw:
		readDraw(r, c.Zone, p)
	case challenge.Cook:
		p.Portions = number(r, "portions")
	case challenge.Tasting:
		rule := readRule(r)
		p.Rule, p.HostScores, p.PerJudge = &rule, ticked(r, "host_scores"), number(r, "per_judge")
	case challenge.Vote:
		p.VoteHours, p.VoteMethod, p.ByLink = number(r, "vote_hours"), ballot.Method(field(r, "vote_method")), ticked(r, "by_link")
		p.Final = readFinalRule(r)
	}
	return round
}

// readRule decodes a tally rule. Rungs that name nothing are left out.
func readRule(r *http.Request) tasting.Rule {
	rule := tasting.Rule{Kind: tasting.Kind(field(r, "rule")), Missing: tasting.Missing(field(r, "missing")),
		SmallestPanel: number(r, "smallest_panel"), Below: tasting.Below(field(r, "below"))}
	if rule.Kind == tasting.TrimmedMean {
		rule.Trim = number(r, "trim")
	}
	for i := range views.LadderRungs {
		if b := field(r, "tie-"+strconv.Itoa(i)); b != "" {
			rule.TieBreaks = append(rule.TieBreaks, tasting.TieBreak(b))
		}
	}
	return rule
}

// weighted is a criterion and, behind it, its weight: "Taste 3", "Taste × 3".
var weighted = regexp.MustCompile(`^(.*?)[\s×x:,;]+(\d+)$`)

// readCriteria reads one criterion a line; one without a weight weighs 1.
func readCriteria(typed string) []shortlist.Criterion {
	var cs []shortlist.Criterion
	for line := range strings.Lines(typed) {
		c := shortlist.Criterion{Name: strings.TrimSpace(line), Weight: 1}
		if m := weighted.FindStringSubmatch(c.Name); m != nil {
			c.Name = m[1]
			c.Weight, _ = strconv.Atoi(m[2]) // digits; too many are 0 or more than any weight, and refused
		}
		if c.Name != "" {
			cs = append(cs, c)
		}
	}
	return cs
}

// readFinalRule decodes who decides the final result.
func readFinalRule(r *http.Request) *ballot.FinalRule {
	rule := ballot.FinalRule{Say: ballot.Say(field(r, "final"))}
	if rule.Say == ballot.SayWeighted {
		rule.Audience, rule.Level = number(r, "audience_share"), ballot.SayJudges
	}
	return &rule
}

// numbers reads "10, 10"; what is no number becomes -1 and is refused.
func numbers(s string) []int {
	var ns []int
	for _, f := range strings.FieldsFunc(s, func(c rune) bool { return c == ',' || c == ' ' }) {
		n, err := strconv.Atoi(f)
		if err != nil {
			n = -1
		}
		ns = append(ns, n)
	}
	return ns
}

// names reads "host, co-host, server".
func names(s string) []string {
	var out []string
	for _, f := range strings.Split(s, ",") {
		if f = strings.TrimSpace(f); f != "" {
			out = append(out, f)
		}
	}
	return out
}

func (s *Server) openRound(w http.ResponseWriter, r *http.Request) error {
	d, round, r, err := s.namedRound(r)
	if err != nil {
		return err
	}
	if err := s.db.OpenRound(r.Context(), d.actor, d.challenge.ID, round.ID); err != nil {
		return err
	}
	return to(w, r, d.base+roundPath(round)+"?said=opened")
}

func (s *Server) closeRound(w http.ResponseWriter, r *http.Request) error {
	d, round, r, err := s.namedRound(r)
	if err != nil {
		return err
	}
	closed, err := s.db.CloseRound(r.Context(), d.actor, d.challenge.ID, round.ID)
	if err != nil {
		return err
	}
	if !closed {
		if round.Kind == challenge.Reading {
			return to(w, r, d.base+"/level/"+itoa(round.Position))
		}
		return to(w, r, d.base+roundPath(round)+"?said=tie")
	}
	return to(w, r, d.base+roundPath(round)+"?said=closed")
}

// namedRound is the desk of a host who runs rounds, and the round of the path.
func (s *Server) namedRound(r *http.Request) (desk, challenge.Round, *http.Request, error) {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return d, challenge.Round{}, r, err
	}
	round, err := roundAt(d.challenge, chi.URLParam(r, "round"))
	return d, round, r, err
}
